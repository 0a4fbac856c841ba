"""The page: modules that the browser loads as they are."""
