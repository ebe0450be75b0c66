// Target files: read strictly, written stably, and made from a roast.
#include <doctest/doctest.h>

#include <string>

#include "files/target_json.hpp"
#include "unit/files/scratch.hpp"

using namespace drumwatch;

namespace {

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

const char* const kHead =
    R"({"drumwatch_target": 1, "name": "Fen Meadow, washed", "points": [[0, 195], [66, 77], [300, 160], [600, 206]])";

std::string with(const std::string& more) { return kHead + (more.empty() ? "" : ", " + more) + "}"; }

Target right(const std::string& text) {
    auto target = parse_target(text);
    REQUIRE_MESSAGE(target.ok(), target.error());
    return target.value();
}

std::string wrong(const std::string& text) {
    const auto target = parse_target(text);
    REQUIRE_MESSAGE(!target.ok(), text);
    return target.error();
}

const char* const kFull = R"({
  "drumwatch_target": 1, "name": "Fen Meadow, washed", "version": 3, "status": "approved",
  "approved_by": "the tasting table, 2 March", "station": "Saltmarsh Mill, station 2", "coffee": "Fen Meadow",
  "charge_kg": 12, "weight_loss_pct": [13.5, 15.5], "colour": [55, 60], "points": [[0, 195], [66, 76.5], [300.5, 159.2], [660, 212.8]], "exhaust_points": [[0, 200], [660, 231]],
  "milestones": {"first_crack": {"at_s": 545, "bean_c": 198}, "yellow": {"at_s": 266}},
  "moves": [{"control": "burner", "to": 3.5, "unit": "kPa", "when": {"at_s": 65}},
            {"control": "burner", "to": 2.5, "unit": "kPa", "when": {"bean_c": 150}},
            {"control": "airflow", "to": 4, "unit": "step", "when": {"after_first_crack_s": 20}}],
  "drop": {"bean_c": 212.8}, "tolerance": {"bean_c": 1.5, "hold_c": 3, "move_s": 12}
})";

}  // namespace

TEST_CASE("target: every key is read") {
    const Target target = right(kFull);
    CHECK(target.name == "Fen Meadow, washed");
    CHECK(target.version == 3);
    CHECK(target.status == TargetStatus::approved);
    CHECK(target.approved_by == "the tasting table, 2 March");
    CHECK(target.station == "Saltmarsh Mill, station 2");
    CHECK(target.coffee == "Fen Meadow");
    CHECK(target.charge_kg == 12);
    CHECK(target.weight_loss_pct == Band{13.5, 15.5});
    CHECK(target.colour == Band{55, 60});
    REQUIRE(target.points.size() == 4);
    CHECK(target.points[2].t_s == 300.5);
    CHECK(target.points[2].bean_c == 159.2);
    CHECK(target.exhaust_points.size() == 2);
    const auto& crack = target.milestones[static_cast<std::size_t>(Milestone::first_crack)];
    REQUIRE(crack);
    CHECK(crack->at_s == 545);
    CHECK(crack->bean_c == 198);
    CHECK(!target.milestones[static_cast<std::size_t>(Milestone::yellow)]->bean_c);
    REQUIRE(target.moves.size() == 3);
    CHECK(target.moves[1].unit == LevelUnit::kilopascal);
    CHECK(target.moves[1].when.kind == TriggerKind::bean_c);
    CHECK(target.moves[2].control == Control::airflow);
    CHECK(target.moves[2].when.value == 20);
    CHECK(target.drop->kind == TriggerKind::bean_c);
    CHECK(target.tolerance.bean_c == 1.5);
    CHECK(target.tolerance.move_s == 12);
    CHECK(target.tolerance.gap_s == 15);  // left out: the default
}

TEST_CASE("target: what a file leaves out comes from the defaults") {
    Tolerance site;
    site.bean_c = 0.9;
    const auto target = parse_target(with(""), site);
    REQUIRE(target.ok());
    CHECK(target.value().tolerance.bean_c == 0.9);
    CHECK(target.value().status == TargetStatus::trial);
    CHECK(target.value().version == 1);
    CHECK(!target.value().drop);
}

TEST_CASE("target: writing is stable and reads back the same") {
    const std::string once = write_target(right(kFull));
    CHECK(write_target(right(once)) == once);
    CHECK(
        has(once, "{\"control\": \"burner\", \"to\": 2.5, \"unit\": \"kPa\", \"when\": {\"bean_c\": 150}}"));
    CHECK(has(once, "[300.5, 159.2]"));
    const std::string bare = write_target(right(with("")));
    CHECK(write_target(right(bare)) == bare);
    CHECK(!has(bare, "moves"));
    Target odd = right(with(""));
    odd.coffee = "a \"quoted\" \\ name\x01 \xff";
    const auto back = parse_target(write_target(odd));
    CHECK(!back.ok());  // a control character is not a name
    odd.coffee = "a \"quoted\" \\ name, è";
    CHECK(right(write_target(odd)).coffee == odd.coffee);
}

TEST_CASE("target: bad files are refused with the place and what would be right") {
    struct Row {
        std::string text;
        const char* says;
    };
    const std::string points = R"({"drumwatch_target": 1, "name": "x", "points": )";
    const Row rows[] = {
        {"", "not JSON"},
        {"[]", "is a list; an object"},
        {R"({"name": "x", "points": [[0,1],[1,2]]})", "/drumwatch_target: is missing"},
        {R"({"drumwatch_target": 2, "name": "x", "points": [[0,1],[1,2]]})",
         "/drumwatch_target: is 2: written for a newer"},
        {R"({"drumwatch_target": 1, "points": [[0,1],[1,2]]})", "/name: is missing"},
        {R"({"drumwatch_target": 1, "name": "x"})", "/points: is missing"},
        {points + "[[0, 195]]}", "/points: has 1 entries; 2 to"},
        {points + "[[0, 195], [10, 190], [10, 180]]}",
         "/points/2: time 10 s is not after the point before, 10 s"},
        {points + "[[0, 195], [10, null]]}", "/points/1: a point is [seconds since charge, °C]"},
        {points + "[[0, 195], [10]]}", "/points/1: a point is"},
        {points + "[[-1, 195], [10, 190]]}", "/points/0: time -1 s"},
        {points + "[[0, 383], [10, 414]]}",
         "/points/0: 383 is out of range, from -20 to 350 °C; this looks like degrees Fahrenheit"},
        {points + "[[0, 340], [66, 170], [600, 349]]}",
         "/points: rise to 349 after the turning point; this looks like degrees Fahrenheit"},
        {points + "[[0, 195], [10, 1e5]]}", "/points/1: 100000 is out of range"},
        {with(R"("version": 0)"), "/version: is 0; a number from 1"},
        {with(R"("version": 1.5)"), "/version: is 1.5; a whole number"},
        {with(R"("status": "aproved")"),
         "/status: is \"aproved\"; did you mean \"approved\"? \"trial\", \"approved\" or \"retired\""},
        {with(R"("charge_kg": 0)"), "/charge_kg: is 0"},
        {with(R"("weight_loss_pct": [15.5, 13.5])"), "/weight_loss_pct: the lower number comes first"},
        {with(R"("weight_loss_pct": [0.13, 60])"),
         "/weight_loss_pct: two numbers from 0 to 40 % would be right"},
        {with(R"("colour": [55])"), "/colour: has 1 entries; 2 would be right"},
        {with(R"("tolerence": {})"), "/tolerence: is not a known key; did you mean \"tolerance\"?"},
        {with(R"("tolerance": {"bean_c": 3})"), "/tolerance/hold_c: is 2.2 and narrower than bean_c, 3"},
        {with(R"("tolerance": {"bean_f": 3})"), "/tolerance/bean_f: is not a known key"},
        {with(R"("milestones": {"crack": {"at_s": 1}})"), "/milestones/crack: is not a known key"},
        {with(R"("milestones": {"first_crack": {"at_s": 700}})"),
         "/milestones/first_crack: at 700 s lies outside the curve, which runs from 0 to 600 s"},
        {with(R"("milestones": {"yellow": {"at_s": 500}, "first_crack": {"at_s": 400}})"),
         "/milestones/first_crack: at 400 s comes before yellow, 500 s"},
        {with(R"("milestones": {"first_crack": {"bean_c": 198}})"),
         "/milestones/first_crack/at_s: is missing"},
        {with(R"("moves": [{"control": "flame", "to": 70, "unit": "%", "when": {"at_s": 65}}])"),
         "/moves/0/control: is \"flame\"; \"burner\" or \"airflow\""},
        {with(R"("moves": [{"control": "burner", "to": 170, "unit": "%", "when": {"at_s": 65}}])"),
         "/moves/0/to: is 170; a number from 0 to 100 %"},
        {with(R"("moves": [{"control": "burner", "to": 70, "unit": "bar", "when": {"at_s": 65}}])"),
         "/moves/0/unit: is \"bar\"; \"%\", \"kPa\" or \"step\""},
        {with(R"("moves": [{"control": "burner", "to": 70, "unit": "%", "when": {}}])"),
         "/moves/0/when: give exactly one of"},
        {with(
             R"("moves": [{"control": "burner", "to": 70, "unit": "%", "when": {"at_s": 65, "bean_c": 150}}])"),
         "/moves/0/when: give exactly one of"},
        {with(R"("moves": [{"control": "burner", "to": 70, "unit": "%", "when": {"at_s": 601}}])"),
         "/moves/0/when: 601 s lies after the curve's end, 600 s"},
        {with(R"("moves": [{"control": "burner", "to": 70, "unit": "%", "when": {"bean_c": 250}}])"),
         "/moves/0/when: 250 °C is over anything on the curve, at most 206 °C"},
        {with(R"("drop": {"bean_c": 230})"), "/drop: 230 °C is over anything on the curve"},
        {with(R"("drop": {"bean_c": 90})"),
         "/drop: at 90 °C comes 103 s into the curve, which goes on to 600 s: the drop is at a curve's end"},
        {with(R"("drop": {"at_s": 300})"), "/drop: "},
        {with(R"("moves": [{"control": "burner", "to": 70, "unit": "%", "when": {"at_s": 65}},
             {"control": "airflow", "to": 60, "unit": "%", "when": {"at_s": 65}},
             {"control": "burner", "to": 60, "unit": "%", "when": {"at_s": 65}}])"),
         "/moves/2/when: is the moment of move 1 of the burner, too"},
        {with(R"("moves": [{"control": "burner", "to": 70, "unit": "%", "when": {"at_s": 65}},
             {"control": "burner", "to": 2.5, "unit": "kPa", "when": {"at_s": 165}}])"),
         "/moves/1/unit: the burner is in kPa here and in % in move 1"},
        {with(R"("name": "twice")"), "/name: is there twice"},
    };
    for (const Row& row : rows)
        CHECK_MESSAGE(has(wrong(row.text), row.says), row.says, "\n", wrong(row.text));
}

TEST_CASE("target: several mistakes are told at once, with line and column") {
    const std::string says = wrong("{\"drumwatch_target\": 1,\n  \"nmae\": \"x\",\n  \"points\": 5}");
    CHECK(has(says, "2:3: /nmae: is not a known key; did you mean \"name\"?"));
    CHECK(has(says, "1:1: /name: is missing"));
    CHECK(has(says, "3:13: /points: is a number"));
}

TEST_CASE("target: a roast with marks is a trial target") {
    std::string csv = "elapsed_s,bean_c,burner_pct,airflow_pct,mark\n";
    for (int i = -40; i <= 2500; ++i) {  // 4 rows a second, charge at 10 s into the file
        const double t_s = i / 4.0;
        const double bean_c = t_s < 0 ? 195 : 80 + t_s / 5;
        const int burner = t_s < 100 ? 90 : t_s < 101 ? 85 : 70;  // travels for a second: one move
        const char* mark = i == 0 ? "charge" : i == 2000 ? "first_crack" : i == 2400 ? "drop" : "";
        csv += std::to_string(t_s + 10) + "," + std::to_string(bean_c) + "," + std::to_string(burner) + "," +
               (t_s < 300 ? "40" : "60") + "," + mark + "\n";
    }
    const Scratch scratch;
    const auto read = read_target(scratch.write("fen meadow.csv", csv));
    REQUIRE_MESSAGE(read.ok(), read.error());
    const Target& target = read.value();
    CHECK(target.name == "fen meadow");
    CHECK(target.status == TargetStatus::trial);
    REQUIRE(target.points.size() == 601);
    CHECK(target.points[100].t_s == 100);
    CHECK(target.points[100].bean_c == doctest::Approx(100));
    CHECK(target.points.back().t_s == 600);
    CHECK(target.milestones[static_cast<std::size_t>(Milestone::first_crack)]->at_s == 500);
    CHECK(target.milestones[static_cast<std::size_t>(Milestone::first_crack)]->bean_c ==
          doctest::Approx(180));
    REQUIRE(target.moves.size() == 2);
    CHECK(target.moves[0].control == Control::burner);
    CHECK(target.moves[0].to == 70);
    CHECK(target.moves[0].when.value == 100);
    CHECK(target.moves[1].control == Control::airflow);
    CHECK(target.moves[1].when.value == 300);
    CHECK(target.drop->value == doctest::Approx(200));
    CHECK(parse_target(write_target(target)).ok());
}

TEST_CASE("target: a roast that can't be followed says what is missing") {
    const Scratch scratch;
    const auto says = [&](const std::string& csv) {
        const auto target = read_target(scratch.write("roast.csv", csv));
        REQUIRE(!target.ok());
        CHECK(has(target.error(), "roast.csv"));
        return target.error();
    };
    CHECK(has(says("elapsed_s,bean_c\n0,1\n"), "no \"charge\" in the column \"mark\""));
    CHECK(has(says("elapsed_s,bean_c,mark\n0,1,charge\n5,2,\n"), "no \"drop\" in the column \"mark\""));
    CHECK(has(says("elapsed_s,bean_c,mark\n0,1,charge\n5,2,charge\n9,2,drop\n"), "more than one \"charge\""));
    CHECK(has(says("elapsed_s,bean_c,mark\n0,1,drop\n5,2,charge\n"), "must come at least two seconds after"));
    CHECK(has(says("elapsed_s,bean_c,mark\n0,1,charge\n5,2,\n50,3,drop\n"),
              "no bean reading for more than 15 s from 5 s on"));
    CHECK(has(says("elapsed_s,bean_c,mark\n0,,charge\n5,,\n50,,drop\n"),
              "no bean reading between charge and drop"));
}

TEST_CASE("target: a path that is none is named") {
    CHECK(has(read_target("/nowhere/x.json").error(), "/nowhere/x.json: there is no such file"));
    CHECK(has(read_target("/nowhere/x.txt").error(),
              "a target is a .json file, or a roast as .csv or .csv.gz"));
}
