"""The simulated demo fleet: its maker, the logs that it made, and the answer sheet.

Nothing here imports the program under test: the truth is made without it.
"""
