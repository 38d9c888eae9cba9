"""Lets ``python -m ringcut_cli`` do what ``ringcut`` does, where scripts are not on the path."""

from ringcut_cli.main import main

if __name__ == "__main__":
    main()
