"""The shape of a species' rules: what literature and trade say, each number with its source."""

from __future__ import annotations

from dataclasses import dataclass

ANCHORS = (
    "season_start",
    "leaf_fall",  # estimate
    "dormancy",  # ticked in the field; until then the estimated leaf fall
    "coldest_start",  # first day of the coldest 14 days of the mean year
    "coldest_end",
    "last_freeze",  # with threshold_c
    "first_freeze",  # with threshold_c
    "first_wet_month",
    "first_hot_day",  # first day at or above threshold_c after midwinter
    "harvest_end",
    "month_day",  # a northern date; half a year later in the south
)  # every key of the species' stages is an anchor as well
CLIMATES = ("cold_winter", "mild_winter", "freeze_free", "dry_summer", "wet_summer")
LEAF = ("deciduous", "evergreen")
RISK = ("low", "medium", "high")
CHILL = ("portions", "utah", "positive_utah", "hours")  # "hours": the study does not say which kind
STAGE_HEAT = ("daylight", "asymcur")  # shares of daylight heat, or of growing degree hours
PARTS = ("order", "place", "stop", "clean")  # of a pruning: which cuts in turn, where, until when
HEAT = ("field", "forced_twigs", "statistical")  # how a study found its growing degree hours


@dataclass(frozen=True)
class Range:
    """A published range: lowest, usual, highest."""

    low: float
    typical: float
    high: float
    source: str


@dataclass(frozen=True)
class Need:
    """Chill, then heat to full bloom, both from one study unless heat_source names another.

    portions: Dynamic-model portions from the season's 1 September.
    heat_gdh: ASYMCUR growing degree hours (°C) from chill met to full bloom.
    printed_gdh, printed_to: the figure as its source prints it and the stage it counts to; where
    that is not full bloom, heat_gdh is printed_gdh over that stage's share of the heat.
    heat_source: set where chill and heat come from different places, which is then on purpose.
    """

    portions: float
    heat_gdh: float
    source: str
    printed_gdh: float = 0.0
    printed_to: str = "full_bloom"
    heat_source: str = ""


@dataclass(frozen=True)
class OverlapNeed:
    """Chill that lets heat count, and daylight heat to full bloom (climate.bud_model.BudModel)."""

    chill_from: float
    heat_need: float
    chill_fall: float
    source: str


@dataclass(frozen=True)
class Stage:
    """A bud stage: its share of the heat to full bloom, and the temperatures that kill.

    kill10_c, kill90_c: air temperatures that kill 10 % and 90 % of buds in 30 minutes.
    """

    key: str
    title: str
    heat_share: float
    source: str
    kill10_c: float | None = None
    kill90_c: float | None = None
    kill_source: str = ""


@dataclass(frozen=True)
class Anchor:
    """A day to count from: the anchor passed (or, at a close, not yet come) in `share` of seasons.

    climate: only where the site's climate is of this class ("" everywhere).
    """

    at: str
    offset_days: int = 0
    share: float = 0.5
    source: str = ""
    threshold_c: float | None = None
    month: int | None = None
    day: int | None = None
    climate: str = ""


@dataclass(frozen=True)
class DayConditions:
    """What the weather of the day, and of days around it, must be; None where it does not matter.

    low_min_c: the day's low is at least this. freeze_free_days_after: lows above 0 °C on so many
    following days. dry_days_before, dry_days_after: days with less than 1 mm of rain, the day
    itself counted in neither but dry as well where either is asked.
    no_hard_freeze_c over no_hard_freeze_days: no low under it within so many days after;
    no_hard_freeze_grown_c instead for trees from their fourth year in the ground on.
    """

    low_min_c: float | None = None
    high_min_c: float | None = None
    high_max_c: float | None = None
    freeze_free_days_after: int = 0
    dry_days_before: int = 0
    dry_days_after: int = 0
    no_hard_freeze_c: float | None = None
    no_hard_freeze_days: int = 0
    no_hard_freeze_grown_c: float | None = None
    source: str = ""


@dataclass(frozen=True)
class Follows:
    """This care comes after another one, so many days at least (and at most, where given)."""

    care: str
    gap_days: int
    within_days: int | None = None
    source: str = ""


@dataclass(frozen=True)
class CareRule:
    """When one care of a species may be done.

    opens: the latest of these; closes: the earliest. best: where the middle of the work belongs.
    never: a reason why this care is never done on this species ("" if it is).
    first_age, last_age: done only from and up to these ages of the tree; last_age None for all.
    """

    care: str
    opens: tuple[Anchor, ...]
    closes: tuple[Anchor, ...]
    best: tuple[Anchor, ...] = ()
    day: DayConditions = DayConditions()
    day_by_climate: tuple[tuple[str, DayConditions], ...] = ()
    follows: tuple[Follows, ...] = ()
    only_if_pests: bool = False
    first_age: int = 0
    last_age: int | None = None
    never: str = ""
    why: str = ""
    source: str = ""


@dataclass(frozen=True)
class Step:
    """One step of the work as a sentence, for trees of this age, in this care.

    forms: only for these training forms, () for all. id: what another file replaces it by.
    short: the same in fewer words, for a card that must fit a screen. part: one of PARTS, where
    such a card says it.
    """

    care: str
    text: str
    source: str
    first_age: int = 0
    last_age: int = 999
    forms: tuple[str, ...] = ()
    id: str = ""
    short: str = ""
    part: str = PARTS[0]


@dataclass(frozen=True)
class Caution:
    """A caution as a sentence, and the cares it goes with (() for all); short as of a Step."""

    text: str
    source: str
    cares: tuple[str, ...] = ()
    short: str = ""


@dataclass(frozen=True)
class Shares:
    """How a year's cuts divide, in percent, from this age of the tree on."""

    from_age: int
    structure: int
    heading: int
    fruiting: int
    source: str


@dataclass(frozen=True)
class Minutes:
    """Person-minutes a tree takes from this age on: a skilled person, volunteers with a leader."""

    from_age: int
    skilled: int
    volunteers: int
    source: str


@dataclass(frozen=True)
class SpeciesRules:
    """All that is known of one species.

    needs: "early" (least chill and heat of usual cultivars), "typical", "late".
    cultivars: needs of named cultivars, lower-case name first.
    chill: published ranges by chill model (CHILL); heat: by the way of finding it (HEAT). They
    are for comparing; only needs and cultivars date the buds. habit_sources: topic, source.
    overlap: chill and heat calibrated on bud dates; used for trees without a need of their own.
    stage_heat: what Stage.heat_share is a share of (STAGE_HEAT).
    """

    key: str
    title: str  # one tree: "apple"
    plural: str  # "apples"
    latin: str
    leaf: str
    bears_on: str
    keeps_spurs: bool
    forms: tuple[str, ...]
    canker_risk: str
    sunburn_risk: str
    needs: dict[str, Need]
    cultivars: dict[str, Need]
    chill: dict[str, Range]
    heat: dict[str, Range]
    stages: tuple[Stage, ...]
    harvest_end_days_after_bloom: Range | None
    cares: tuple[CareRule, ...]
    steps: tuple[Step, ...]
    shares: tuple[Shares, ...]
    minutes: tuple[Minutes, ...]
    removal_percent: Range
    cautions: tuple[Caution, ...]
    disagreements: tuple[
        tuple[str, str, str, str], ...
    ] = ()  # topic, one view, other view, default
    aliases: tuple[str, ...] = ()
    stage_aliases: tuple[tuple[str, str], ...] = ()
    origin: str = "shipped"  # or the path of the programme's own file
    habit_sources: tuple[tuple[str, str], ...] = ()
    overlap: OverlapNeed | None = None
    stage_heat: str = "daylight"

    @property
    def deciduous(self) -> bool:
        return self.leaf == "deciduous"

    def care(self, key: str) -> CareRule | None:
        return next((rule for rule in self.cares if rule.care == key), None)

    def stage(self, key: str) -> Stage | None:
        return next((stage for stage in self.stages if stage.key == key), None)


@dataclass(frozen=True)
class Source:
    """A published source, and how it reached us."""

    key: str
    reference: str
    seen: str  # "abstract", "table", "excerpt", "via <other>", "from memory"
