"""The pages of the front end; no arithmetic here."""
