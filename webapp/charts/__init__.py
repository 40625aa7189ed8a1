"""One chart, one function, one spec; rendered to SVG on the server, so that page and print are one picture."""
