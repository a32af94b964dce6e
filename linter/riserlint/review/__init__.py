"""Rules run over installations; findings, variances, the review."""
