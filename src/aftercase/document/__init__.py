"""Case, review and guide as files: the only place that knows their JSON."""
