"""`quote FILE`: the answer of HTTP as tables or as bytes, and every fault in plain words."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from typer.testing import CliRunner, Result

from service.api.bodies import MAX_BODY_BYTES
from service.cli.app import app
from tests.given.catalog_files import WALL_SYSTEM, write_folder
from tests.given.lawn_walls import lawn_request

pytestmark = pytest.mark.no_cover  # tracing would take longer than the work

EXAMPLES = Path(__file__).resolve().parents[2] / "openapi" / "examples" / "quote_walls"
REQUESTS = sorted(EXAMPLES.glob("*.request.json"))
GOOD = [
    path for path in REQUESTS if path.name.split(".")[0] not in ("ten_mistakes", "price_missing")
]
STRAIGHT = EXAMPLES / "straight_wall.request.json"
UNITS = ("standard unit", "cap")
MISTAKES = EXAMPLES / "ten_mistakes.request.json"


def run(*arguments: str | Path, stdin: bytes | None = None, columns: int | None = None) -> Result:
    """The command's outcome in a pipe, stdout and stderr apart."""
    environment = {"COLUMNS": None if columns is None else str(columns)}
    command = ["quote", *map(str, arguments)]
    return CliRunner().invoke(app, command, input=stdin, env=environment)


def amounts(lines: list[str]) -> dict[str, str]:
    """The roll-up of a printed quote, by name."""
    names = ("direct cost", "overhead", "contingency", "profit", "subtotal", "tax", "total")
    found = [(name, line) for line in lines for name in names if line.startswith(f"{name} ")]
    return {name: line.removeprefix(name).split()[0] for name, line in found}


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.name)
def test_quote_json_is_what_http_answers(path: Path, client: TestClient) -> None:
    """With --json stdout holds the bytes of the HTTP answer and nothing else."""
    headers = {"Content-Type": "application/json"}
    answer = client.post("/v1/quotes", content=path.read_bytes(), headers=headers)
    done = run(path, "--json")
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout_bytes == answer.content


def test_quote_json_tells_faults_as_http_does(client: TestClient) -> None:
    """With --json a refused request gets HTTP's problem on stdout; only the request id is empty."""
    headers = {"Content-Type": "application/json"}
    for body in (MISTAKES.read_bytes(), b'{"a": 1, "a": 2}', b"\xef\xbb\xbf{}"):
        problem = client.post("/v1/quotes", content=body, headers=headers).json()
        done = run("-", "--json", stdin=body)
        assert done.exit_code == 1
        assert json.loads(done.stdout_bytes) == {**problem, "instance": ""}


def test_quote_prints_limits_of_a_metric_quote_in_metric(tmp_path: Path) -> None:
    """Printed cautions of a metric quote state a place's limits in metric, its own in brackets."""
    path = tmp_path / "metric.json"
    request = {**json.loads(STRAIGHT.read_bytes()), "units": "metric"}
    path.write_bytes(json.dumps(request).encode())
    printed = " ".join(run(path).stdout.split())
    assert "The wall is over 1.22 m (4 ft) from the bottom of the pad" in printed
    assert "within 0.91 m (3 ft) of the face" in printed


def test_quote_reads_stdin() -> None:
    """A dash takes the request from stdin."""
    assert run("-", "--json", stdin=STRAIGHT.read_bytes()).stdout == run(STRAIGHT, "--json").stdout


def test_quote_prints_the_figures_of_the_wall() -> None:
    """40 ft x 4 ft exposed: 7 courses, 5 ft, 187 ft²; 7 x 29 = 203 units, 214 with waste."""
    done = run(STRAIGHT, columns=120)
    assert (done.exit_code, done.stderr) == (0, "")
    lines = [" ".join(line.split()) for line in done.stdout.splitlines()]
    assert any(line.startswith("back yard wall 40 ft 7 4 ft 5 ft 187 ft² ") for line in lines)
    block, cap = (f"Terrace block, 8 in high, with corner and cap: {x}" for x in UNITS)
    assert f"{block} 203 each 5 % 214 each 6 pallets 20116 lb" in lines
    assert f"{cap} 29 each 5 % 31 each 1 pallet 2046 lb" in lines
    stone = "Clear crushed stone, 3/4 in, for the pad 1.5 yd³ 10 % 3 tons "
    assert any(line.startswith(stone) for line in lines)


def test_quote_prints_the_roll_up_with_its_bases() -> None:
    """Every amount of the answer's roll-up stands there, each percentage with its base."""
    answer: dict[str, Any] = json.loads(run(STRAIGHT, "--json").stdout)
    printed = run(STRAIGHT).stdout
    price = answer["price"]
    assert amounts(printed.splitlines()) == {
        name: price[name.replace(" ", "_")]
        for name in ("direct cost", "overhead", "contingency", "profit", "subtotal", "tax", "total")
    }
    assert f"10 % of direct cost {price['direct_cost']}\n" in printed
    assert "5 % of direct cost + overhead " in printed
    assert "20 % of direct cost + overhead + contingency " in printed
    assert "7 % of the price of the taxable lines " in printed
    assert f"30 % of the total {price['total']}\n" in printed


def test_quote_prints_the_earthwork() -> None:
    """With existing ground every volume stands there with its state, as the answer has it."""
    request = json.loads(STRAIGHT.read_text(encoding="utf-8"))
    request["soils"] = {"retained": "silty_sand"}
    request["walls"][0]["existing_slope"] = "4:1"
    for entry in request["walls"][0]["profile"]:
        entry["existing_grade"] = "3 ft"
    price = {"unit_cost": "24.00", "per": "yd3"}
    request["prices"]["overrides"] = {"haul_off": price, "import_fill": price}
    body = json.dumps(request).encode()
    answer: dict[str, Any] = json.loads(run("-", "--json", stdin=body).stdout)
    printed = run("-", "--how", stdin=body).stdout
    lines = [" ".join(line.split()) for line in printed.splitlines()]
    cut = answer["earthwork"]["cut"]
    figure = f"{float(cut['value']):.1f}"
    assert f"cut {figure} yd³ {cut['state']}" in lines
    assert "HOW THE SOIL BALANCES" in lines
    assert all(part["part"] != "earthwork" for part in answer["price"]["not_priced"])


def test_quote_prints_what_the_total_leaves_out() -> None:
    """Parts without a price, cautions from the gravest down, defaults, and the deference."""
    done = run(EXAMPLES / "inline_prices.request.json")
    text = " ".join(done.stdout.split())
    assert "(materials only)" in done.stdout.splitlines()[0]
    left_out = text.partition("NOT IN THIS TOTAL ")[2]
    assert left_out.startswith("earthwork ")
    assert "labor " in left_out.partition(" CAUTIONS ")[0]
    of_job, _, of_every_job = done.stdout.partition("CAUTIONS")[2].partition("ON EVERY JOB")
    for part in (of_job, of_every_job):
        starts = [line.split(" ")[0] for line in part.splitlines()]
        shown = [word for word in starts if word in ("high", "medium", "low")]
        assert shown == sorted(shown, key=["high", "medium", "low"].index)
        assert shown
    assert "wall 1, top rounding: up; " in text
    assert "/walls" not in text
    assert "Local code and licensed practice decide. engine " in text
    assert ", digest " in done.stdout.splitlines()[-1]


def test_quote_prints_how_the_engineering_is_settled() -> None:
    """Not settled: it says so. Settled: by whom, and why. Nothing that calls for an engineer: no
    word of it. General words stand under a heading of their own."""
    path = EXAMPLES / "plain_stack_fails.request.json"
    request = json.loads(path.read_text(encoding="utf-8"))
    open_still = run(path).stdout
    assert "Engineering: not settled. This quote doesn't go out before it is." in open_still
    assert "ON EVERY JOB" in open_still
    stated = {"settled": "by_owner", "because": "her brother is one"}
    settled = run("-", stdin=json.dumps({**request, "engineering": stated}).encode()).stdout
    assert "Engineering: by the owner, not in the price: her brother is one" in settled
    assert "not settled" not in settled
    assert "Engineering:" not in run(EXAMPLES / "two_walls.request.json").stdout


def test_quote_says_idle_sums_of_the_terms_once() -> None:
    """House terms set four sums aside that a garden wall calls for nothing of: one phrase says
    so, not four."""
    printed = " ".join(run(EXAMPLES / "garden_wall.request.json").stdout.split())
    assert (
        "sums of the terms that nothing here calls for: outlet-storm-drain, street-used, "
        "private-lines, line-distance" in printed
    )
    assert "unused" not in printed


def test_quote_how_prints_every_line_of_arithmetic() -> None:
    """With --how each `how` of the answer is printed, and without it none of the counting is."""
    answer: dict[str, Any] = json.loads(run(STRAIGHT, "--json").stdout)
    read = " ".join(run(STRAIGHT, "--how").stdout.split())
    assert not re.search(r"\b(in|ft|yd|m)[23]\b", read)
    text = read.translate(str.maketrans("²³", "23"))
    labor, price = answer["labor"], answer["price"]
    held = (*answer["quantities"], *labor["tasks"], *labor["crews"], *price["lines"])
    for said in [how for part in held for how in part["how"]] + list(price["how"].values()):
        assert said in text
    assert "courses 1 to 7" in text
    assert "courses 1 to 7" not in run(STRAIGHT).stdout


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.name)
@pytest.mark.parametrize(("columns", "widest"), [(80, 80), (200, 120), (None, 100)])
def test_quote_fits_its_place(path: Path, columns: int | None, widest: int) -> None:
    """No line is longer than the place is wide or ends in blanks, and no figure is cut."""
    lines = run(path, columns=columns).stdout.splitlines()
    assert max(map(len, lines)) <= widest
    assert all(line == line.rstrip() for line in lines)
    assert "…" not in "".join(lines)
    assert "\x1b" not in "".join(lines)


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.name)
def test_quote_is_printed_for_people(path: Path) -> None:
    """No id but that of the price list and what a request would have to say, no pointer, and no
    length in decimals of a foot."""
    answer = json.loads(run(path, "--json").stdout)
    text = run(path).stdout
    asked = json.dumps(answer["screening"].get("would_pass", []))
    asked += json.dumps(answer["screening"].get("other_walls", []))
    ids = set(re.findall(r"\w+_\w+", text)) - set(re.findall(r"\w+_\w+", asked))
    assert ids <= {answer.get("price_list", {}).get("id")}
    assert re.findall(r"(?<!\S)/[a-z]\S*", text) == []
    assert re.findall(r"[0-9]\.[0-9]+ ft\b(?!/)", text) == []
    assert answer["digest"][:12] in text.splitlines()[-1]


def test_quote_says_what_each_line_of_a_machine_is_for() -> None:
    """Hire, ways and fuel of one machine are told apart, each once."""
    path = EXAMPLES / "dug_terrace.request.json"
    table = run(path, columns=120).stdout.partition("\nPRICE\n")[2]
    for what in ("fuel", "hire by the", "delivery", "pick-up"):
        assert len(re.findall(rf"Mini excavator of 8,000 lb, {what}\s", table)) == 1
    assert "NOT INCLUDED\nengineering  The engineer's work." in table


def test_quote_aligns_money_to_the_right() -> None:
    """The prices of all lines end in one column, under the word."""
    answer: dict[str, Any] = json.loads(run(STRAIGHT, "--json").stdout)
    _, _, table = run(STRAIGHT).stdout.partition("\nPRICE\n")
    head, _, *rows = table.partition("\n\n")[0].splitlines()
    end = head.index("price") + len("price")
    ends = [row[:end].split()[-1] for row in rows if len(row) >= end]
    assert ends == [line["price"] for line in answer["price"]["lines"]]


def test_quote_tells_every_fault() -> None:
    """Each fault stands on stderr with its place in words, what was found and a hint; exit code 1.
    Pointers are for programs."""
    done = run(MISTAKES)
    assert (done.exit_code, done.stdout) == (1, "")
    first, *lines = done.stderr.splitlines()
    assert first == f"{MISTAKES} can't be quoted: 10 faults"
    places = [line.partition(": ")[0] for line in lines if not line.startswith(" ")]
    assert len(places) == 10
    assert {"units", "wall 1, plan part 1, length", "wall 1, plan part 2", "titel"} <= set(places)
    assert not any(line.startswith("/") for line in lines)
    at = lines.index("titel: titel is not a known key here")
    assert lines[at + 1] == '    hint: did you mean "title"?'


@pytest.mark.parametrize(
    ("keys", "written", "right"),
    [
        (("walls", 0, "plan", 0, "length"), "24'-6\"", '"24 ft 6 in"'),
        (("walls", 0, "plan", 0, "length"), "24 feet", '"24 ft"'),
        (("walls", 0, "plan", 0, "length"), "40'", '"40 ft"'),
        (("site_work", 0, "quantity"), "150 sf", '"150 ft2"'),
        (("water", "fall"), "10%", '"10 %"'),
    ],
)
def test_quote_answers_the_trades_writing_with_the_right_one(
    keys: tuple[str | int, ...], written: str, right: str
) -> None:
    """What is written as on a drawing is refused with the nearest right writing."""
    request: Any = json.loads(STRAIGHT.read_text("utf-8"))
    request["site_work"] = [{"task": "strip_sod"}]
    request["water"] = {"outlet": "daylight", "run": "20 ft"}
    *before, last = keys
    place = request
    for key in before:
        place = place[key]
    place[last] = written
    done = run("-", stdin=json.dumps(request).encode())
    assert done.exit_code == 1
    assert right in done.stderr


def test_quote_says_how_many_faults_it_leaves_out() -> None:
    """Beyond a hundred faults their number stands there."""
    body = json.dumps({f"key_{number}": 1 for number in range(150)}).encode()
    done = run("-", stdin=body)
    assert done.exit_code == 1
    assert done.stderr.splitlines()[-1].startswith("and ")


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"{", "this is not JSON"),
        (b'{"a": NaN}', "NaN"),
        (b" " * (MAX_BODY_BYTES + 1), "1 MiB"),
        (b"[]", "the whole request: "),
    ],
    ids=["broken", "nan", "large", "list"],
)
def test_quote_refuses_what_is_no_request(body: bytes, said: str) -> None:
    """What HTTP would refuse before it reads a field is refused in the same words."""
    done = run("-", stdin=body)
    assert (done.exit_code, done.stdout) == (1, "")
    assert said in done.stderr


def test_quote_keeps_control_characters_from_the_terminal() -> None:
    """What a request holds can't steer the terminal, neither in a fault nor in a table."""
    assert "\x1b" not in run("-", stdin=rb'{"\u001b[31m": 1}').stderr
    request = json.loads(STRAIGHT.read_text(encoding="utf-8"))
    request["title"] = "[red]wall[/red] \u202eabc"
    done = run("-", stdin=json.dumps(request).encode())
    assert done.stdout.startswith("[red]wall[/red] ?abc\n")


def test_quote_calls_a_missing_file_wrong_usage(tmp_path: Path) -> None:
    """No file to read, a folder, or no argument is wrong usage: exit code 2."""
    for arguments in ((tmp_path / "none.json",), (tmp_path,), ()):
        done = run(*arguments)
        assert (done.exit_code, done.stdout) == (2, "")
        assert done.stderr


def test_quote_reads_the_settings_catalog(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A wall system in a folder that SERVICE_CATALOG_PATH names is quoted, here or over HTTP."""
    write_folder(tmp_path, {"wall_systems/demo.toml": WALL_SYSTEM})
    request = json.loads(STRAIGHT.read_text(encoding="utf-8"))
    request["wall_system"] = "demo"
    request["prices"]["overrides"] = {"demo_block": {"unit_cost": "5.00", "per": "each"}}
    body = json.dumps(request).encode()
    assert "unknown" not in run("-", stdin=body).stdout
    assert run("-", stdin=body).exit_code == 1
    monkeypatch.setenv("SERVICE_CATALOG_PATH", str(tmp_path))
    done = run("-", "--ids", stdin=body)
    assert done.exit_code == 0
    assert "demo_block" in done.stdout


def test_quote_refuses_a_broken_catalog(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A catalog with faults answers nothing: they stand on stderr, exit code 1."""
    write_folder(tmp_path, {"soils/mud.toml": "= 1"})
    monkeypatch.setenv("SERVICE_CATALOG_PATH", str(tmp_path))
    done = run(STRAIGHT)
    assert (done.exit_code, done.stdout) == (1, "")
    assert "mud.toml" in done.stderr


def test_quote_shows_ids_on_request_alone() -> None:
    """Items stand by what they are; --ids puts the ids of price lists beside them."""
    quantities = run(STRAIGHT).stdout.partition("CAUTIONS")[0]
    assert "terrace_8in" not in quantities
    assert (
        run(STRAIGHT, "--ids", columns=120).stdout.partition("CAUTIONS")[0].count("base_stone") == 2
    )


def test_quote_prints_the_quantity_that_is_priced() -> None:
    """Beside a unit cost stands the amount that was charged, to its last digit."""
    path = EXAMPLES / "driveway_into_bank.request.json"
    lines = json.loads(run(path, "--json").stdout)["price"]["lines"]
    (hauled,) = [line["quantity"]["value"] for line in lines if line["item"] == "haul_off"]
    assert len(hauled.partition(".")[2]) == 2
    assert f"{hauled} yd³" in run(path).stdout.partition("\nPRICE\n")[2]


def test_quote_counts_the_courses_of_a_stepped_wall_at_one_place() -> None:
    """More levels of courses than stand at any place are no courses that anybody sees."""
    request: dict[str, Any] = json.loads(STRAIGHT.read_text("utf-8"))
    request["walls"][0]["profile"] = [
        {"station": "0 ft", "top": "8 ft", "front_grade": "4 ft"},
        {"station": "end", "top": "4 ft", "front_grade": "0 ft"},
    ]
    body = json.dumps(request).encode()
    (wall,) = json.loads(run("-", "--json", stdin=body).stdout)["walls"]
    most = most_at_one_place(wall)
    assert most < len(wall["courses"])
    text = " ".join(run("-", stdin=body).stdout.split())
    assert f"at most {most} courses at one place, {len(wall['courses'])} levels" in text


def most_at_one_place(wall: dict[str, Any]) -> int:
    """By a second method: courses over every inch of 40 ft."""
    runs = [
        (float(run["from_station"]["value"]), float(run["to_station"]["value"]))
        for course in wall["courses"]
        for run in course["runs"]
    ]
    inches = (0.02 + n / 12 for n in range(12 * 40))
    return max(sum(first <= at < last for first, last in runs) for at in inches)


def test_quote_gives_rod_readings_for_rod_readings() -> None:
    """The same wall by elevations and by a rod: the base stands 1 ft below the front grade."""
    request: dict[str, Any] = json.loads(STRAIGHT.read_text("utf-8"))
    up = json.loads(run("-", "--json", stdin=json.dumps(request).encode()).stdout)
    request["levels_are"] = "rod"
    for entry in request["walls"][0]["profile"]:
        entry["top"], entry["front_grade"] = "2 ft", "6 ft"
    body = json.dumps(request).encode()
    rod = json.loads(run("-", "--json", stdin=body).stdout)
    assert (up["levels_are"], rod["levels_are"]) == ("elevation", "rod")
    assert up["walls"][0]["courses"][0]["elevation"] == {"value": "-1", "unit": "ft"}
    assert rod["walls"][0]["courses"][0]["elevation"] == {"value": "7", "unit": "ft"}
    text = " ".join(run("-", stdin=body).stdout.split())
    assert "underside of the lowest course at rod reading 7 ft" in text


def test_quote_heights_and_compare_are_the_comparison_of_http(client: TestClient) -> None:
    """With --json the options give the bytes that HTTP answers to the same comparison."""
    document = {
        "quote": json.loads(STRAIGHT.read_text("utf-8")),
        "heights_that_fit": True,
        "alternatives": [{"wall_system": "garden_6in"}, {"section": "deep_pad"}],
    }
    answer = client.post("/v1/comparisons", json=document)
    asked = ("--heights", "--compare", "wall_system=garden_6in", "--compare", "section=deep_pad")
    assert run(STRAIGHT, *asked, "--json").stdout_bytes == answer.content
    lines = [" ".join(line.split()) for line in run(STRAIGHT, *asked).stdout.splitlines()]
    # Seven courses of 8 in and a cap of 4 in, 6 in in the ground, carry 54 in; six carry 46 in.
    assert any(line.startswith("as it is 4 ft 7 ") for line in lines)
    assert any(line.startswith("a course less 3 ft 10 in 6 ") for line in lines)
    assert any(line.startswith("least with these courses 3 ft 10 1/4 in 7 ") for line in lines)
    assert any(line.startswith("most with these courses 4 ft 6 in 7 ") for line in lines)
    assert any(line.startswith("garden_6in plain_gravity ") for line in lines)


def test_quote_compares_with_the_request_itself_once() -> None:
    """Its own wall system stands first anyway, and naming it adds no row."""
    other = run(STRAIGHT, "--compare", "wall_system=garden_6in", "--json").stdout_bytes
    both = run(STRAIGHT, "--compare", "wall_system=terrace_8in,garden_6in", "--json").stdout_bytes
    assert json.loads(other)["alternatives"]
    assert both == other


def test_quote_what_if_is_the_quote_of_http_with_what_if(client: TestClient) -> None:
    """With --json the option gives the bytes that HTTP answers with `what_if`; what can't be read
    is refused as without it."""
    request = lawn_request("loam", what_if=False)
    asked = {**request, "what_if": True}
    done = run("-", "--what-if", "--json", stdin=json.dumps(request).encode())
    assert done.stdout_bytes == client.post("/v1/quotes", json=asked).content
    for broken in (b"[]", b'{"screening": 3}'):
        assert run("-", "--what-if", stdin=broken).stderr == run("-", stdin=broken).stderr


@pytest.mark.parametrize("option", ["garden_6in", "wall_system=", "units=us"])
def test_quote_compare_refuses_what_it_can_not_compare(option: str) -> None:
    """--compare takes wall systems or sections; anything else is wrong usage, exit code 2."""
    done = run(STRAIGHT, "--compare", option)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "wall_system=a,b" in done.stderr
