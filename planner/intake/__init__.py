"""Bytes of a workbook in, a scenario and located issues out."""
