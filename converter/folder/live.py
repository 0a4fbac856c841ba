"""A report that shows itself anew while it is watched, without a server: it asks a small file beside it."""

import json

VERSION_FILE = "report-version.js"
_CLOSED, _OPEN = "script-src 'unsafe-inline'", "script-src 'unsafe-inline' 'self' file:"
# The page keeps its place (choice, order, open character, scrolling) whenever it is loaded again.
_ASK = """<script>
{
  window.reportVersion = (now) => now === %s || location.reload();
  setInterval(() => {
    const ask = document.createElement("script");
    ask.src = "%s?" + Date.now();
    ask.onload = ask.onerror = () => ask.remove();
    document.head.append(ask);
  }, 1000);
}
</script>
</body>"""


def live_report(html: str, version: str) -> str:
    """The page, asking once a second whether there is another version than this."""
    page = html.replace(_CLOSED, _OPEN, 1)
    return page.replace("</body>", _ASK % (json.dumps(version), VERSION_FILE), 1)


def version_file(version: str) -> str:
    """The file that the page asks."""
    return f"window.reportVersion({json.dumps(version)});\n"
