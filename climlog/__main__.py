"""Run climlog as `python -m climlog`."""

from climlog.cli import main

if __name__ == "__main__":
    main()
