"""`python -m threequarter` is the same as `threequarter`."""

from threequarter.cli import main

if __name__ == "__main__":
    main()
