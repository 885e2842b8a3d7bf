"""Side-by-side measurements of the planner and of other ways to plan.

Run ``python -m tests.bench --help``; none of it belongs to the test run.
"""
