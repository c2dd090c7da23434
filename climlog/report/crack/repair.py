"""What to do about a crack, by its cause: free it, wait or not, mend when and how, keep it so.

Words are those of tables/crack_repairs.csv, crack_methods.csv and crack_ease.csv; what is freed is
only what held, and what cannot be eased is taken out.
"""

from climlog.analysis.crack.result import Cause, CauseKey, CauseVerdict, CrackResult, Mending
from climlog.analysis.crack.weights import weight
from climlog.model.board import Fastening
from climlog.report.phrases import Say, fastenings_in_short, sentence, with_numbers
from climlog.report.place.remedies import remedy_text
from climlog.tables import load_table, load_text

MOST_REMEDIES = 2
"""Changes told for a top that has split already; the job of place tells them all."""
DAMAGE_IN_BRIEF = ("look_first", "do_first")
OTHER_KIND = "other.any"


def told_cause(result: CrackResult) -> Cause:
    """Take the cause that what to do goes by: the best supported."""
    return result.causes[0]


def causes_by_holding(result: CrackResult) -> tuple[Cause, ...]:
    """Causes that act through the fastenings and count: the first, and those about as strong."""
    table = load_table("crack_repairs")
    first = told_cause(result)
    return tuple(
        one
        for one in result.causes
        if bool(table["by_holding"][one.key.value])
        and (one is first or (one.share_with_signs or 0.0) >= weight("frees_share"))
        and one.verdict in (CauseVerdict.SUFFICIENT, CauseVerdict.POSSIBLE)
    )


def is_held(result: CrackResult) -> bool:
    """Whether a cause that acts through its fastenings counts."""
    return bool(causes_by_holding(result))


def binding(result: CrackResult) -> tuple[int, ...]:
    """Give the numbers, from 0, of what stopped its swelling where crushed, else its shrinking."""
    causes = causes_by_holding(result)
    travel = result.place.set_travel
    crushed = bool(causes) and causes[0].key is CauseKey.SET
    found = travel.binds_swelling if crushed else travel.binds_shrinking
    return tuple(found) or tuple(range(len(result.piece.fastenings)))


def freeing_lines(result: CrackResult) -> tuple[str, ...]:
    """Say how to free each kind that held; what cannot be eased is taken out."""
    everything = result.piece.fastenings
    if not everything:
        return (
            "Free it: find what holds it underneath, and let nothing hold the top on both sides of "
            "the crack.",
        )
    groups: dict[str, list[int]] = {}
    for index in binding(result):
        groups.setdefault(ease_of(everything[index]), []).append(index)
    table = load_table("crack_ease")
    return tuple(
        f"Free it: {table['says'][key].format(them=with_numbers(which, everything))}."
        for key, which in groups.items()
    )


def freed_in_brief(result: CrackResult) -> str:
    """Say how to free what holds it, of several kinds the first, in as few words as an answer."""
    everything = result.piece.fastenings
    if not everything:
        return "Free it: find what holds it on both sides of the crack."
    indices = binding(result)
    key = ease_of(everything[indices[0]])
    them = fastenings_in_short(everything[at] for at in indices if ease_of(everything[at]) == key)
    return f"Free it: {load_table('crack_ease')['short'][key].format(them=them)}."


def ease_of(one: Fastening) -> str:
    """Find its row of tables/crack_ease.csv: its kind on its rail, else on any."""
    table = load_table("crack_ease")
    same = table[table["kind"] == one.kind]
    for key, rail in same["rail"].items():
        if rail in (str(one.rail), "any"):
            return str(key)
    return OTHER_KIND


def is_wide(result: CrackResult) -> bool:
    """Whether the crack is too wide to be shut by hand: width lost, or a wide gap reported."""
    return result.outlook.set_mm >= weight("wide_mm") or (
        result.seen.gap_mm is not None
        and result.seen.gap_mm >= weight("wide_mm")
        and told_cause(result).key is not CauseKey.HELD
    )


def method_of(result: CrackResult) -> str:
    """Name the way to mend it, a row of tables/crack_methods.csv."""
    row = load_table("crack_repairs").loc[told_cause(result).key.value]
    return str(row["wide"] if is_wide(result) else row["method"])


def when_line(result: CrackResult, say: Say) -> str:
    """Say in which days and at which moisture to mend it; empty where no whole year is known."""
    mending = result.mending
    if mending is None:
        return ""
    from_where = ", as worked out from the air outdoors" if mending.is_projected else ""
    return (
        f"Mend it from {say.day(mending.first)} to {say.day(mending.last)}, at about "
        f"{mending.middle_pct:.1f} % moisture ({mending.middle_rh_pct:.0f} % relative humidity "
        f"at room temperature): the middle of its settled year, {mending.low_pct:.1f} to "
        f"{mending.high_pct:.1f} %{from_where}"
    )


def when_in_brief(result: CrackResult, say: Say) -> str:
    """Say the same in as few words as an answer has."""
    mending = result.mending
    if mending is None:
        return ""
    return f"Mend it {days_in_brief(mending, say)}, at {mending.middle_pct:.1f} % moisture"


def days_in_brief(mending: Mending, say: Say) -> str:
    """Say from when to when; the year of both once, where it is one."""
    first, last = mending.first, mending.last
    begins = f"{first.day} {first:%B}" if first.year == last.year else say.day(first)
    return f"{begins} to {say.day(last)}"


def wait_line(result: CrackResult, say: Say) -> str:
    """Say what to wait for first."""
    says = str(load_table("crack_repairs")["wait"][told_cause(result).key.value])
    mending = result.mending
    if mending is None or mending.rests_on is None:
        return says
    return f"{says} By this reckoning it is still moving until about {say.day(mending.rests_on)}."


def question(result: CrackResult) -> str:
    """Ask why, of the damage that was brought."""
    return str(load_table("crack_damages")["question"][result.damage])


def damage_lines(
    result: CrackResult, columns: tuple[str, str] = ("looks", "does")
) -> tuple[str, ...]:
    """Say what to look at, and what to do, for damage that is no plain crack."""
    row = load_table("crack_damages").loc[result.damage]
    return tuple(str(row[name]) for name in columns if isinstance(row[name], str))


def is_glued(result: CrackResult) -> bool:
    """Whether it is a split that is mended, not a shape that goes back."""
    return not isinstance(load_table("crack_damages")["does"][result.damage], str)


def repair_lines(result: CrackResult, say: Say) -> tuple[str, ...]:
    """Say what to do by the cause, first things first, each with its cautions."""
    row = load_table("crack_repairs").loc[told_cause(result).key.value]
    if not is_glued(result):
        stays = f"So that it stays: {row['stays']}"
        return (*damage_lines(result), wait_line(result, say), stays, f"In a year: {row['year']}")
    method = load_table("crack_methods").loc[method_of(result)]
    lines = [*damage_lines(result), *(freeing_lines(result) if is_held(result) else ())]
    lines.append(wait_line(result, say))
    when = when_line(result, say)
    if when:
        lines.append(f"{when}. {load_text('crack.filled_at_its_widest')}")
    else:
        lines.append(
            "When to mend it needs a whole year of the place: add --outdoor FILE, or log on. "
            f"{load_text('crack.filled_at_its_widest')}"
        )
    caution = f" {method['caution']}" if isinstance(method["caution"], str) else ""
    lines.append(f"{method['says']}{caution}")
    lines += [f"So that it stays: {row['stays']}", *remedy_lines(result, say)]
    lines.append(f"In a year: {row['year']}")
    return tuple(lines)


def remedy_lines(result: CrackResult, say: Say) -> tuple[str, ...]:
    """Say which changes to the fastenings would have held, where they are what held it."""
    if not is_held(result):
        return ()
    place = result.place
    return tuple(
        sentence(remedy_text(one, place.piece, say)) for one in place.remedies[:MOST_REMEDIES]
    )
