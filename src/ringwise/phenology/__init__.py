"""Which day a stage of bud and leaf comes: models, spacing of stages, own observations, forecast."""
