"""What the form offers: woods, cuts, finishes, layouts, kinds, houses, signs of a crack."""

from functools import cache

from climlog.model.indoor import house_names
from climlog.sheets.crack import known_signs
from climlog.sheets.layouts import belongs, layout_named, layout_names
from climlog.tables import load_table, names_of

MOST_ASKED = 10
"""Signs that the form has a field for: the most telling; a sheet may hold the others."""


@cache
def choices() -> dict[str, object]:
    """Give every list of the form."""
    kinds = load_table("fastening_kinds")
    classes = load_table("indoor_classes")["words"]
    questions = load_table("crack_questions")
    return {
        "woods": sorted({*names_of("woods"), *(w for o in names_of("woods").values() for w in o)}),
        "cuts": [str(one) for one in load_table("cuts").index],
        "finishes": [
            "none",
            *dict.fromkeys((*load_table("finishes")["kind"], *load_table("finish_words").index)),
        ],
        "layouts": [
            {"name": name, "words": layout_named(name).words, "takes_kind": not _main(name)}
            for name in layout_names()
        ],
        "kinds": [
            {"name": str(name), "words": str(words), "on_a_rail": belongs(str(name)).anywhere}
            for name, words in kinds["words"].items()
        ],
        "houses": [{"name": one, "words": str(classes[one])} for one in house_names()],
        "signs": [
            {"name": name, "ask": str(questions["why"][name]), "answers": list(answers)}
            for name, answers in list(known_signs().items())[:MOST_ASKED]
        ],
    }


def _main(name: str) -> str:
    return layout_named(name).main_kind
