"""What holds for every test."""

from hypothesis import settings

# A law holds on a slow or busy machine too: no example is failed for the time it takes. Everything
# else stays as the machine's own default, which on a continuous-integration machine is repeatable.
settings.register_profile("patient", parent=settings(), deadline=None)
settings.load_profile("patient")
