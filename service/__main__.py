"""`python -m service`: the command line."""

from service.cli.app import main

if __name__ == "__main__":
    main()
