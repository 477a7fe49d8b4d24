"""What is usual in each region: units, money, paper and clocks. Common practice, no source."""

from studio.workshop.models import Workshop

Region = Workshop.Region

METRIC = {"strength": "g/L", "temperature": "°C", "depth": "µm", "cups": "metric", "currency": "EUR", "paper": "A4"}
USUAL = {
    Region.EU: METRIC,
    Region.GB: METRIC | {"currency": "GBP"},
    Region.US: METRIC | {"temperature": "°F", "depth": "mil", "cups": "us", "currency": "USD", "paper": "Letter"},
    Region.ELSEWHERE: METRIC,
}
EUROPEAN = """
    Amsterdam Athens Berlin Bratislava Brussels Bucharest Budapest Copenhagen Dublin Helsinki Lisbon Ljubljana
    Luxembourg Madrid Malta Paris Prague Riga Rome Sofia Stockholm Tallinn Vienna Vilnius Warsaw Zagreb
"""
AMERICAN = "New_York Chicago Denver Phoenix Los_Angeles Anchorage"
ZONES = {
    Region.EU: ("Asia/Nicosia", *(f"Europe/{city}" for city in EUROPEAN.split())),
    Region.GB: ("Europe/London",),
    Region.US: (*(f"America/{city}" for city in AMERICAN.split()), "Pacific/Honolulu"),
}
