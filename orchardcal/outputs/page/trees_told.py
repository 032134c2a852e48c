"""The tree list of a site, with what each tree gets this year."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from orchardcal.care import TITLES
from orchardcal.outputs.page.facts import Tree
from orchardcal.outputs.page.frame import scrolled
from orchardcal.outputs.page.markup import Markup, isolated, joined, tag
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import DONE, Job, SitePlan
from orchardcal.sentence import Listed, Sentence, Value, Words, say


def trees_told(trees: Iterable[Tree], site: SitePlan, speech: Speech) -> Markup:
    """A row for each planting: what stands there, and its jobs in the order of their days."""
    title = speech.words("Trees and what to do with each this year")
    head = tag(
        "tr",
        tag("th", speech.words("Tree"), scope="col"),
        tag("th", speech.words("This year"), scope="col"),
    )
    rows = (
        tag(
            "tr",
            tag("th", *_tree(tree, speech), scope="row"),
            tag("td", _work(tree, site.jobs, speech)),
        )
        for tree in trees
    )
    caption = tag("caption", title, class_="heard")
    table = tag("table", caption, tag("thead", head), tag("tbody", *rows), class_="trees")
    return scrolled(title, table)


def _tree(tree: Tree, speech: Speech) -> Iterator[Markup]:
    yield tag("b", isolated(tree.id))
    words = [isolated(speech.sentence(tree.counted))]
    if tree.cultivar:
        words.append(isolated(tree.cultivar))
    if tree.age is None:
        words.append(joined([speech.words("age unknown")]))
    else:
        words.append(joined([speech.sentence(say("year {age} in the ground", age=tree.age))]))
    if tree.form != "unknown":
        words.append(joined([speech.words(tree.form)]))
    yield tag("span", joined(words, ", "), class_="about")
    if tree.near_power_line:
        line = speech.words("Near a power line: for the utility or a licensed arborist only.")
        yield tag("span", line, class_="alert")


def _work(tree: Tree, jobs: Iterable[Job], speech: Speech) -> Markup:
    own = [job for job in jobs if tree.id in job.plantings]
    if not own:
        return joined([speech.words("Nothing in this plan.")])
    return tag("ul", *(tag("li", *_job(job, tree.id, speech)) for job in own))


def _job(job: Job, tree: str, speech: Speech) -> Iterator[Markup]:
    care = Words(TITLES[job.care])
    if job.state == DONE:
        yield joined([speech.sentence(say("{care}: done on {day}.", care=care, day=job.day))])
        return
    yield tag("b", speech.sentence(say("{day}: {care}", day=job.day, care=care)))
    for sentence in job.do:
        names_only = len(sentence.values) == 1  # "A-01 2 apples." stands in the row's head
        if _is_of(sentence, tree) and not names_only:
            yield tag("span", speech.sentence(sentence), class_="about")


def _is_of(value: Value, tree: str) -> bool:
    """Whether the tree's id is one of the values of a sentence, at any depth."""
    if isinstance(value, Sentence):
        return any(
            (name == "id" and inner == tree) or _is_of(inner, tree) for name, inner in value.values
        )
    return isinstance(value, Listed) and any(_is_of(item, tree) for item in value.items)
