"""What every unit test shares."""

from hypothesis import settings

# A folder is written and read per example: how long that takes is the machine's business.
settings.register_profile("house", deadline=None, print_blob=True)
settings.load_profile("house")
