"""The settings of a fleet: `fleet.toml`, checked key by key."""

from corrosion.records.settings.reading import Settings, read_settings, settings_of
from corrosion.records.settings.values import SETTINGS_FILE, WEEKDAYS
from corrosion.records.settings.writing import changed_text, settings_text, write_settings
from corrosion.records.settings.yard import Bay, DaysOff, Express, Hires, Mechanic

__all__ = [
    "SETTINGS_FILE",
    "WEEKDAYS",
    "Bay",
    "DaysOff",
    "Express",
    "Hires",
    "Mechanic",
    "Settings",
    "changed_text",
    "read_settings",
    "settings_of",
    "settings_text",
    "write_settings",
]
