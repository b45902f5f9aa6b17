"""`python -m lowsimmer` is the command `lowsimmer`."""

from lowsimmer.cli import main

if __name__ == "__main__":
    main()
