"""Plan cold storage for medicines and infant feeds when the power is out."""

__version__ = "0.1.0"
