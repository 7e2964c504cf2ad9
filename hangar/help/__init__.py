"""What the pilot's words mean, in our own words and drawings, and which field of a form leads to which of them."""
