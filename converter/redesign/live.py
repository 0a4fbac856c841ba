"""A report that shows itself anew while it is watched, without a server: it asks a small file beside it."""

import json

VERSION_FILE = "report-version.js"
_CLOSED, _OPEN = "script-src 'unsafe-inline'", "script-src 'unsafe-inline' 'self' file:"
_ASK = """<script>
{
  // The character that is open stays open: its place in the set goes along in the address.
  const mark = "#watched-", cards = () => [...document.querySelectorAll(".sheet button[data-index]")];
  window.reportVersion = (now) => {
    if (now === %s) return;
    const title = document.querySelector("dialog[open] #panel-title")?.textContent;
    const card = cards().find((button) => title && button.querySelector("b")?.textContent === title);
    history.replaceState(null, "", card ? mark + card.dataset.index : location.pathname);
    location.reload();
  };
  if (location.hash.startsWith(mark)) {
    cards().find((button) => mark + button.dataset.index === location.hash)?.click();
    history.replaceState(null, "", location.pathname);
  }
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
