"""How long a battery lasts: from hours of weather and a week of use to months in service, for many lives."""
