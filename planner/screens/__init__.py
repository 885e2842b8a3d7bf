"""Pages of the app; they ask the pipeline and draw, and do no arithmetic."""
