"""The strip: one thin overview of the whole case under the film."""
