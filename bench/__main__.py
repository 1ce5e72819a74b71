"""`python -m bench` is the command `turnproof`."""

from bench.cli import main

if __name__ == "__main__":
    main()
