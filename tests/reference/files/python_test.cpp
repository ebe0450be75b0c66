// Files against an independent reader and writer: the csv, gzip and json modules of Python's standard
// library.
#include <doctest/doctest.h>

#include <chrono>
#include <string>

#include "files/roast_csv.hpp"
#include "files/target_json.hpp"
#include "support/child_process.hpp"
#include "unit/files/scratch.hpp"

using namespace drumwatch;

namespace {

std::string python(const std::string& what, const std::string& path) {
    const Finished run = run_program({"python3", DRUMWATCH_SCRIPT, what, path}, std::chrono::seconds(30));
    REQUIRE_MESSAGE(run.status == 0, run.errors);
    return run.output;
}

RoastFile right(const std::string& text) {
    auto file = parse_roast_csv(text);
    REQUIRE_MESSAGE(file.ok(), file.error());
    return file.value();
}

}  // namespace

TEST_CASE("python reads the roast file that we wrote") {
    const Scratch scratch;
    const RoastFile file = right(
        "note,elapsed_s,bean_f,burner,mark\n\"a, "
        "\"\"b\"\"\r\nc\",0,383,7,charge\n,0.25,,,\nè,1.5,382.1,6.5,drop\n");
    const std::string path = scratch.write("roast.csv", write_roast_csv(file));
    CHECK(python("csv", path) ==
          "elapsed_s|bean_c|burner|mark|note\n"
          "0|195|7|charge|a, \"b\"<cr><lf>c\n"
          "0.25||||\n"
          "1.5|194.5|6.5|drop|è\n");
}

TEST_CASE("python reads the target that we wrote") {
    const Scratch scratch;
    const auto target = parse_target(
        R"({"drumwatch_target": 1, "name": "Fen Meadow, \"washed\" è", "version": 3, "charge_kg": 12.5,
        "points": [[0, 195], [66.25, 76.5], [660, 212.8]], "milestones": {"first_crack": {"at_s": 545, "bean_c": 198}, "yellow": {"at_s": 266}},
        "moves": [{"control": "burner", "to": 70, "unit": "%", "when": {"at_s": 65}},
                  {"control": "airflow", "to": 2.5, "unit": "kPa", "when": {"after_first_crack_s": 20}}],
        "drop": {"bean_c": 212.8}})");
    REQUIRE_MESSAGE(target.ok(), target.error());
    const std::string path = scratch.write("target.json", write_target(target.value()));
    CHECK(python("target", path) ==
          "drumwatch_target,name,version,status,charge_kg,points,milestones,moves,drop,tolerance\n"
          "Fen Meadow, \"washed\" è 3 trial 12.5\n"
          "3 [0, 195] [660, 212.8]\n"
          "yellow {'at_s': 266}\n"
          "first_crack {'at_s': 545, 'bean_c': 198}\n"
          "{'control': 'burner', 'to': 70, 'unit': '%', 'when': {'at_s': 65}}\n"
          "{'control': 'airflow', 'to': 2.5, 'unit': 'kPa', 'when': {'after_first_crack_s': 20}}\n"
          "{'bean_c': 212.8} 201.6\n");
}

TEST_CASE("we read the packed roast that python wrote") {
    const Scratch scratch;
    const std::string path = scratch.path("roast.csv.gz");
    python("write", path);
    const auto file = read_roast_csv(path);
    REQUIRE_MESSAGE(file.ok(), file.error());
    CHECK(file.value().warnings.empty());
    REQUIRE(file.value().rows.size() == 2400);
    CHECK(file.value().rows[0].values[0] == 195'000);
    CHECK(file.value().rows[2399].elapsed_ms == 599'750);
    CHECK(file.value().rows[2399].mark == Milestone::drop);
    CHECK(file.value().unknown_columns[0] == "remark, of the day");
    CHECK(file.value().unknown_cells[7][0] == "a \"quoted\"\nremark");
    const auto target = read_target(path);
    REQUIRE_MESSAGE(target.ok(), target.error());
    CHECK(target.value().points.size() == 601);
}
