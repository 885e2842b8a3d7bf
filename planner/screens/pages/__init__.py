"""One script a page; each only asks the rooms and draws what they say."""
