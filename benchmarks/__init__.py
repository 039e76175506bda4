"""Speed as ratios measured in one run: how much faster or slower than a yardstick on the same machine."""
