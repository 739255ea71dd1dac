"""`python -m app` is the command `sillpond`."""

from app.cli import main

if __name__ == "__main__":
    main(prog_name="sillpond")
