"""The sections in the header and the tabs of a project: one list each; what is not there yet is not linked."""

from __future__ import annotations

from dataclasses import dataclass

from flask import current_app, request, url_for


@dataclass(frozen=True, slots=True)
class Entry:
    """A place to go: its label and the endpoint of its first page."""

    label: str
    endpoint: str

    @property
    def blueprint(self) -> str:
        return self.endpoint.partition(".")[0]


@dataclass(frozen=True, slots=True)
class Link:
    """A place to go, on a page: where, and whether this page is in it."""

    label: str
    url: str
    current: bool = False


SECTIONS = (
    Entry("Today", "today.index"),
    Entry("Projects", "projects.index"),
    Entry("Rack", "rack.index"),
    Entry("Designs", "designs.index"),
    Entry("Prices", "prices.index"),
    Entry("Paces", "paces.index"),
    Entry("Shop", "shop.index"),
)
PROJECT_TABS = (
    Entry("Parts", "projects.parts"),
    Entry("Plan", "plan.show"),
    Entry("Buy", "buying.buy"),
    Entry("Price", "projects.price"),
    Entry("Days", "days.show"),
    Entry("Quote", "quotes.show"),
    Entry("Log", "log.show"),
    Entry("Ahead", "progress.show"),
    Entry("Review", "review.show"),
)
# Pages of a project behind one of its tabs: their blueprint and the tab.
BEHIND_TABS = {"gluing": "plan.show", "coats": "log.show", "notes": "log.show", "options": "projects.price"}
SHOP_TABS = (
    Entry("Money and habits", "shop.index"),
    Entry("The rate", "shop.rate"),
    Entry("People", "shop.people"),
    Entry("Hours", "shop.hours"),
    Entry("Allowances", "shop.allowances"),
    Entry("Machines", "shop.machines"),
    Entry("Devices", "access.devices"),
    Entry("Backup", "shop.backup"),
)
_BEHIND_SHOP_TABS = {
    "shop.hours_off": "shop.hours",
    "shop.save_allowances": "shop.allowances",
    "shop.machine": "shop.machines",
    "shop.add_machine": "shop.machines",
    "shop.machine_cost": "shop.machines",
    "shop.person": "shop.people",
    "shop.add_person": "shop.people",
    "access.devices_invite": "access.devices",
}


def sections() -> tuple[Link, ...]:
    """The sections that are there; the one this page belongs to is current."""
    return tuple(
        Link(entry.label, url_for(entry.endpoint), current=_home_of(request.blueprint) == entry.blueprint)
        for entry in SECTIONS
        if entry.endpoint in current_app.view_functions
    )


def project_tabs(project_id: int) -> tuple[Link, ...]:
    """A project's tabs that are there; the page shown now is current, and so is the tab of price_keep on Price."""
    here = request.endpoint or ""
    return tuple(
        Link(
            entry.label,
            url_for(entry.endpoint, project_id=project_id),
            current=entry.endpoint == BEHIND_TABS.get(request.blueprint or "", here)
            or here.startswith(f"{entry.endpoint}_"),
        )
        for entry in PROJECT_TABS
        if entry.endpoint in current_app.view_functions
    )


def shop_tabs() -> tuple[Link, ...]:
    """The pages of the shop that are there; a page behind one keeps that one current."""
    here = _BEHIND_SHOP_TABS.get(request.endpoint or "", request.endpoint)
    return tuple(
        Link(entry.label, url_for(entry.endpoint), current=entry.endpoint == here)
        for entry in SHOP_TABS
        if entry.endpoint in current_app.view_functions
    )


def _home_of(blueprint: str | None) -> str | None:
    """The section a page is in: the tabs of a project are all in Projects."""
    within = {"across", *BEHIND_TABS, *(entry.blueprint for entry in PROJECT_TABS)}
    if blueprint in within:
        return "projects"
    if blueprint == "photos":  # its only page is that of a receipt
        return "rack"
    return "shop" if blueprint in {entry.blueprint for entry in SHOP_TABS} else blueprint


def first_page() -> str:
    """Where / leads: the first section, or the patterns while there is none."""
    links = sections()
    return links[0].url if links else url_for("patterns.show")
