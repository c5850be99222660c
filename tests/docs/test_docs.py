"""The documentation says what the code does: generated pages, links, names, commands and examples."""

import re
import shlex
from pathlib import Path

import click
import pytest

from modellint.cli.main import cli
from modellint.rulebook.docs import all_texts
from modellint.rulebook.load import load_rules, shipped_settings
from modellint.rulebook.project import KEYS, load_project
from modellint.rulebook.registry import registry
from modellint.rulebook.rule import Rule
from modellint.rulebook.schedules import TABLES
from modellint.rulebook.shipped import rules_folder
from modellint.rulebook.vocabulary import COMPARISONS, DERIVED, ROLES, RULE_KEYS
from modellint.rulebook.yaml_text import read_yaml

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
GENERATED = all_texts()
PAGES = sorted(
    [*DOCS.rglob("*.md"), *(ROOT / name for name in ("README.md", "DEVELOPERS.md") if (ROOT / name).exists())]
)
WRITTEN = [page for page in PAGES if not page.is_relative_to(DOCS / "rules")]
REMAKE = "run `python -m modellint.rulebook.docs` in the repository's root"
CODE = [(file, file.read_text(encoding="utf-8")) for file in sorted((ROOT / "modellint").rglob("*.py"))]

# Words that only the people who decide may use of a house.
PROMISES = ("compliant", "is safe", "are safe", "safe to build", "guarantee", "certified", "complies with")


def rules() -> list[Rule]:
    return load_rules([rules_folder()], registry())


def ids(pages):
    return [str(page.relative_to(ROOT)) for page in pages]


@pytest.mark.parametrize("name", sorted(GENERATED), ids=str)
def test_generated_file_is_current(name):
    file = DOCS / name
    assert file.is_file(), f"docs/{name} is missing: {REMAKE}"
    assert file.read_text(encoding="utf-8") == GENERATED[name], f"docs/{name} is out of date: {REMAKE}"


def test_no_page_is_left_of_a_rule_that_is_gone():
    there = {file.relative_to(DOCS) for file in (DOCS / "rules").rglob("*.md")}
    assert there <= GENERATED.keys(), f"{sorted(map(str, there - GENERATED.keys()))}: {REMAKE}"


@pytest.mark.parametrize("page", PAGES, ids=ids(PAGES))
def test_relative_links_resolve(page):
    text = without_code(page.read_text(encoding="utf-8"))
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        if "://" in target or target.startswith("mailto:"):
            continue
        name, _, anchor = target.partition("#")
        file = (page.parent / name).resolve() if name else page
        assert file.exists(), f"{page.name}: the link {target} leads nowhere"
        if anchor:
            heads = re.findall(r"^#+ (.+)$", file.read_text(encoding="utf-8"), re.MULTILINE)
            assert anchor in {slug(head) for head in heads}, f"{page.name}: no heading for {target}"


def slug(head: str) -> str:
    return re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-")


def without_code(text: str) -> str:
    return re.sub(r"```.*?```|`[^`\n]*`", "", text, flags=re.DOTALL)


@pytest.mark.parametrize("page", PAGES, ids=ids(PAGES))
def test_no_page_promises_what_only_people_may_say(page):
    text = " ".join(page.read_text(encoding="utf-8").split())
    found = [word for word in PROMISES if re.search(rf"\b{word}\b", text, re.IGNORECASE)]
    assert not found, f"{page.name} says {found}"


@pytest.mark.parametrize("page", WRITTEN, ids=ids(WRITTEN))
def test_written_pages_are_short_and_plain(page):
    lines = page.read_text(encoding="utf-8").splitlines()
    assert len(lines) <= 210, f"{page.name} has {len(lines)} lines"
    assert lines[0].startswith("# ")
    assert not [line for line in lines if re.match(r"\s*(:::|!!!|\{%|\.\. )", line)], "generator syntax"


def test_the_index_leads_to_every_page():
    text = (DOCS / "index.md").read_text(encoding="utf-8")
    wanted = [*DOCS.glob("*.md"), *DOCS.glob("*.json"), *(DOCS / "rules").glob("*.md")]
    missing = [
        name
        for file in sorted(wanted)
        if (name := file.relative_to(DOCS).as_posix()) != "index.md" and f"]({name})" not in text
    ]
    assert not missing


def test_every_rule_has_a_page_and_stands_in_the_list():
    listed = (DOCS / "rules" / "index.md").read_text(encoding="utf-8")
    for rule in rules():
        assert f"({rule.group}/{rule.id}.md)" in listed
        page = (DOCS / "rules" / rule.group / f"{rule.id}.md").read_text(encoding="utf-8")
        assert all(text in page for text in (rule.title, rule.level, rule.stage, rule.decides))
        assert all(setting.basis.words() in page for setting in rule.settings.values())


# -- names ------------------------------------------------------------------------------------------


def quantities() -> set[str]:
    return {file.stem for file in (rules_folder() / "properties").glob("*.yaml")}


def role_files() -> set[str]:
    return {file.stem for file in (rules_folder() / "roles").glob("*.yaml")}


def known_words() -> set[str]:
    """Every word in code marks that may look like a name of the vocabulary."""
    known = registry()
    rows = [*known.measures.values(), *known.sets.values()]
    words = {word for row in known.measures.values() for word in row.words}
    words |= {row.name for row in rows} | set(known.kinds) | {*ROLES, *DERIVED} | role_files() | quantities()
    words |= {name for rule in rules() for name in rule.settings} | set(shipped_settings())
    words |= {*RULE_KEYS, *KEYS, *TABLES} | {column for table in TABLES.values() for column in table}
    grammar = (*COMPARISONS, "object_type", "type_name", "force_transfer")
    return words | set(grammar)


@pytest.mark.parametrize("page", WRITTEN, ids=ids(WRITTEN))
def test_names_with_underscores_in_docs_exist(page):
    """Roles, quantities, measures, sets, settings, keys and columns: `like_this` in a page is one of them."""
    text = re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
    named = set(re.findall(r"`([a-z]+(?:_[a-z]+)+)`", text))
    functions = {name for _, text in CODE for name in re.findall(r"\bdef (\w+)\(", text)}
    modules = {file.stem for file, _ in CODE} | {"sample_models"}
    assert not sorted(named - known_words() - functions - modules), f"{page.name} names what does not exist"


def section(page: str, start: str, end: str) -> set[str]:
    text = (DOCS / page).read_text(encoding="utf-8")
    assert start in text
    assert end in text.split(start, 1)[1]
    return set(re.findall(r"`([a-z_]+)`", text.split(start, 1)[1].split(end, 1)[0]))


def named_in_code(name: str, *, but: tuple[str, ...] = ()) -> bool:
    return any(f'"{name}"' in text for file, text in CODE if file.name not in but)


def test_modelling_tells_which_roles_are_recognised():
    text = (DOCS / "modelling.md").read_text(encoding="utf-8")
    tables = re.findall(r"^\| (`[a-z_]+`(?:, `[a-z_]+`)*) \|", text, re.MULTILINE)
    told = {word for cell in tables for word in re.findall(r"`([a-z_]+)`", cell)}
    assert told <= role_files()
    assert {
        "shear_wall",
        "hold_down",
        "rod",
        "post",
        "anchor_bolt",
        "vent_pipe",
        "collector",
        "membrane",
    } <= told


def test_modelling_tells_which_properties_are_used():
    used = section("modelling.md", "These properties decide outcomes today:", "In the property book, but")
    unused = section("modelling.md", "In the property book, but", "## Common traps")
    assert used | unused == quantities()
    wrong = sorted(
        name
        for name in unused
        if any(re.search(rf'(?:stated|number|flag|readings|has)\([^)]*"{name}"', text) for _, text in CODE)
    )
    assert not wrong, f"{wrong}: used by the code now; say so in docs/modelling.md"
    assert not sorted(name for name in used if not named_in_code(name) and name != "tension_capacity")


def test_every_general_setting_has_an_effect():
    dead = {name for name in shipped_settings() if not named_in_code(name)}
    assert not dead, "a general setting that nothing in the code reads only looks like one"


def test_project_file_lists_every_key_schedule_and_column():
    text = (DOCS / "project-file.md").read_text(encoding="utf-8")
    names = [*KEYS, *TABLES, *(column for table in TABLES.values() for column in table)]
    assert not [name for name in names if f"`{name}`" not in text]


def test_rules_language_lists_every_key_and_kind():
    text = (DOCS / "rules-language.md").read_text(encoding="utf-8")
    missing = [name for name in (*RULE_KEYS, *DERIVED) if f"`{name}`" not in text]
    assert not missing


# -- examples ---------------------------------------------------------------------------------------


def blocks(page: str, language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", (DOCS / page).read_text(encoding="utf-8"), re.DOTALL)


def test_the_rule_of_the_language_page_loads(tmp_path):
    text = next(block for block in blocks("rules-language.md", "yaml") if block.startswith("id:"))
    (tmp_path / "vent-four-inch.yaml").write_text(text, encoding="utf-8")
    (rule,) = load_rules([tmp_path], registry(), validate=True)
    assert rule.settings["size"].value == pytest.approx(4 * 0.0254)


def test_the_errors_of_the_language_page_are_those_that_come(tmp_path):
    from modellint.errors import FileProblems

    (tmp_path / "bad-rule.yaml").write_text(
        "id: wrong-name\ntitle: x\ngroup: lateral\nsubject: wal_end\n"
        "expect: {measure: rod_leen, at_most: 5 deg}\nlevel: error\nstage: pour\n"
        "decides: engineer of record\nmessage: m\nask: a\nremedy: r\n",
        encoding="utf-8",
    )
    with pytest.raises(FileProblems) as caught:
        load_rules([tmp_path], registry())
    said = [
        line.strip()
        for line in (DOCS / "rules-language.md").read_text(encoding="utf-8").splitlines()
        if line.startswith("    our-rules/bad-rule.yaml")
    ]
    assert [line.replace("our-rules", str(tmp_path)) for line in said] == str(caught.value).splitlines()


def test_the_project_file_of_its_page_loads(tmp_path):
    """With the sample house's schedules, whose invented marks the page does not name."""
    text, units = blocks("project-file.md", "yaml")
    (tmp_path / "modellint.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "our-rules").mkdir()
    (tmp_path / "schedules").mkdir()
    for file in (ROOT / "sample_models" / "two-storey" / "schedules").glob("*.csv"):
        (tmp_path / "schedules" / file.name).write_bytes(file.read_bytes())
    project = load_project(tmp_path / "modellint.yaml")
    assert project.system == "us"
    assert {one.name for one in project.overrides} >= {"rod-lean.lean", "end_column_reach"}
    assert project.levels["vent-label-per-storey"] == "off"
    asked = {rule.id for rule in project.apply_levels(rules())}
    assert asked == {rule.id for rule in rules()} - {"vent-label-per-storey"}
    settings = {f"{rule.id}.{name}" for rule in rules() for name in rule.settings} | set(shipped_settings())
    assert {one.name for one in project.overrides} <= settings
    (tmp_path / "modellint.yaml").write_text(units, encoding="utf-8")
    assert [row["name"] for row in load_project(tmp_path / "modellint.yaml").dwellings] == ["Unit A", "Unit B"]


def command_lines() -> list[tuple[str, str]]:
    rows = []
    for page in PAGES:
        text = page.read_text(encoding="utf-8")
        found = re.findall(r"`(modellint [^`\n]+)`", text)
        found += re.findall(r"^(?:    )?(?:.*&& )?(modellint (?:check|trace|rules)\b.*)$", text, re.MULTILINE)
        rows += [(page.name, line.strip()) for line in found if not line.startswith("modellint/")]
    return sorted(set(rows))


@pytest.mark.parametrize(("page", "line"), command_lines())
def test_commands_in_docs_can_be_given(page, line):
    """The command, its options and their values are taken by the command line's own parser."""
    words = [word for word in shlex.split(line.split(" #")[0].split(" | ")[0]) if word != "..."][1:]
    if not words or words[0].startswith("-"):
        words = words or ["--help"]
        known = {name for param in cli.params for name in param.opts} | {"-h", "--help"}
        assert set(words) <= known, f"{page}: {line}"
        return
    command = cli.get_command(click.Context(cli), words[0])
    assert command is not None, f"{page}: there is no command {words[0]}"
    command.make_context(words[0], words[1:], resilient_parsing=False)


def test_the_books_of_docs_are_whole():
    roles = (DOCS / "rules" / "roles.md").read_text(encoding="utf-8")
    properties = (DOCS / "rules" / "properties.md").read_text(encoding="utf-8")
    for file in (rules_folder() / "roles").glob("*.yaml"):
        globs = read_yaml(file).data.get("grounds", {}).get("name", [])
        assert f"## {file.stem}\n" in roles
        assert all(f"`{glob}`" in roles for glob in globs)
    assert all(f"## {name}\n" in properties for name in quantities())


def test_the_report_page_knows_every_outcome_stage_decider_and_basis():
    from modellint.findings.finding import DECIDERS, LEVELS, OUTCOMES, STAGES
    from modellint.reports.lines import SIGNS

    text = " ".join((DOCS / "report.md").read_text(encoding="utf-8").split())
    assert not [word for word in (*OUTCOMES, *STAGES, *LEVELS) if f"`{word}`" not in text]
    assert not [word for word in DECIDERS if word not in text]
    assert all(f"| `{word}` | `{SIGNS[word]}` |" in text for word in ("fail", "open"))
    assert "common practice, no source" in text


def test_the_evidence_page_knows_every_rung_and_the_limits_of_absence():
    from modellint.roles.part import Rung

    text = " ".join((DOCS / "evidence.md").read_text(encoding="utf-8").split())
    assert all(f"| {rung.word} |" in text for rung in Rung)
    settings = shipped_settings()
    assert (settings["complete_at_least"].value, settings["complete_share"].value) == (2, 0.5)
    assert "at least two other like places" in text
    reach = ("end_column_reach", "end_column_band", "end_column_below", "end_column_above")
    assert all(settings[name].text in text for name in reach)


def test_the_reading_page_knows_schemas_and_limits():
    from modellint.ifc.sniff import SCHEMAS
    from modellint.limits import GIGABYTE, Limits

    text, limits = (DOCS / "reading-ifc.md").read_text(encoding="utf-8"), Limits()
    assert all(schema in text for schema in SCHEMAS)
    told = [row.split("|")[2].strip() for row in text.splitlines() if row.count("|") == 3]
    assert f"{limits.memory // GIGABYTE} GB" in told
    assert f"{limits.seconds:g} s" in told
    assert f"{limits.part_seconds:g} s" in told
    assert f"{limits.unzip_bytes // GIGABYTE} GB, {limits.unzip_ratio:g} times" in told
