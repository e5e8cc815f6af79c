"""``python -m livery``."""

from livery.cli import main

if __name__ == "__main__":
    main()
