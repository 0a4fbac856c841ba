"""Sets opened in the browser: a server on this machine, and the page in which a designer acts."""
