"""An invented practice eye under an operating microscope, drawn frame by frame."""
