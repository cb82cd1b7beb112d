"""Photos of a tree on its board: the printed board, the cameras behind them, and where there is wood."""
