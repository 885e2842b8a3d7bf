"""Tables, workbooks, JSON and charts made from a plan."""
