"""``python -m converter``: the same as the ``font2foundation`` command."""

from converter.cli import main

if __name__ == "__main__":
    main()
