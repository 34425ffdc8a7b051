"""How long anything is waited for. Nothing is held to time, but nothing may wait for ever."""

PATIENCE = 300  # seconds
