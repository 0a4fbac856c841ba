"""What the letters of a run have alike, drawn alike."""
