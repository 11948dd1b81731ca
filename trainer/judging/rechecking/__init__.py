"""Old ink judged again by the checks and letters of today, on all cores."""
