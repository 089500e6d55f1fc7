"""What can be done with the case on the desk, one function for each deed."""
