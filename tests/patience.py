"""How long anything is waited for. Nothing is held to time, but nothing may wait for ever."""

PATIENCE = 600  # seconds
