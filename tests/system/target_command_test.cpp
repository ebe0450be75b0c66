// `drumwatch target` as a person runs it: files in, files out, sentences and exit codes.
#include <doctest/doctest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "support/child_process.hpp"
#include "support/roast_curve.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

constexpr auto kHang = 60s;  // only stops a hang

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

/// A roast of roast_curve.hpp with a burner that goes down at 240 s (since charge), as a CSV without a mark
/// of the charge; first crack is marked at 500 s unless told otherwise.
std::string roast_csv(std::uint64_t seed, bool cracked = true, bool fahrenheit = false) {
    CurveShape shape;
    shape.seed = seed;
    std::ostringstream csv;
    csv << "elapsed_s,bean_c,burner_pct,mark\n";
    for (const RoastRow& row : roast_file(shape).rows) {
        const double t_s = static_cast<double>(row.elapsed_ms) / 1000;
        const double bean = from_milli(*row.values[0]);
        const bool crack = cracked && std::fabs(t_s - 560) < 0.1;
        csv << t_s << "," << (fahrenheit ? bean * 1.8 + 32 : bean) << "," << (t_s < 300 ? 70 : 55) << ","
            << (crack ? "first_crack" : "") << "\n";
    }
    return csv.str();
}

class Desk {
  public:
    std::string write(const std::string& name, const std::string& text) const {
        std::ofstream(folder_.file(name)) << text;
        return folder_.file(name);
    }
    std::string file(const std::string& name) const { return folder_.file(name); }
    std::string text(const std::string& name) const {
        std::ifstream in(folder_.file(name));
        return {std::istreambuf_iterator<char>(in), {}};
    }
    static Finished target(std::vector<std::string> arguments) {
        arguments.insert(arguments.begin(), {DRUMWATCH_DAEMON, "target"});
        return run_program(std::move(arguments), kHang);
    }

  private:
    TempDir folder_;
};

}  // namespace

TEST_CASE("target make, check, show, edit: from three roasts to an approved second version") {
    const Desk desk;
    const auto made = Desk::target({"make", "--from", desk.write("a.csv", roast_csv(1)),
                                    desk.write("b.csv", roast_csv(2)), desk.write("c.csv", roast_csv(3)),
                                    "--out", desk.file("mill.json"), "--name", "Saltmarsh, washed"});
    REQUIRE_MESSAGE(made.status == 0, made.errors);
    CHECK(has(made.output, "made from 3 roasts of 3"));
    CHECK(has(made.output, "burner to 55 % at 4:00"));
    CHECK(has(made.errors, "mill.json: /status: a trial target"));
    CHECK(has(desk.text("mill.json"), R"("status": "trial")"));
    CHECK(has(desk.text("mill.json"), R"("first_crack": {"at_s": 500)"));

    const auto checked = Desk::target({"check", desk.file("mill.json")});
    CHECK(checked.status == 0);
    CHECK(has(checked.output, "Saltmarsh, washed, version 1, trial: can be followed; "));
    const auto edited = Desk::target({"edit", desk.file("mill.json"), "--move", "1:at_s=250", "--approved-by",
                                      "A. Taster", "--out", desk.file("mill.json")});
    REQUIRE_MESSAGE(edited.status == 0, edited.errors);
    CHECK(has(edited.output, "kept version 1 as "));
    CHECK(has(desk.text("mill.v1.json"), R"("version": 1)"));
    CHECK(has(desk.text("mill.json"), R"("version": 2)"));
    const auto shown = Desk::target({"show", desk.file("mill.json")});
    CHECK(has(shown.output, "version 2, approved by A. Taster"));
    CHECK(has(shown.output, "1 burner to 55 % at 4:10"));
    CHECK(Desk::target(
              {"edit", desk.file("mill.json"), "--move", "1:at_s=250", "--out", desk.file("mill.v1.json")})
              .status == 0);
    CHECK(has(desk.text("mill.v1.json"), R"("version": 3)"));  // never a number that was used
    CHECK(has(desk.text("mill.v1.v1.json"), R"("version": 1)"));
}

TEST_CASE("target make: what a bad roast or call lacks is said, and the others are used") {
    const Desk desk;
    const std::string good = desk.write("good.csv", roast_csv(1));
    const std::string out = desk.file("t.json");
    const auto mixed = Desk::target({"make", "--from", good, desk.write("f.csv", roast_csv(2, true, true)),
                                     desk.write("short.csv", roast_csv(3).substr(0, 3000)), "--out", out,
                                     "--approved-by", "A. Taster"});
    CHECK_MESSAGE(mixed.status == 0, mixed.errors);
    CHECK(has(mixed.errors, "f.csv: bean temperature"));
    CHECK(has(mixed.errors, "looks like degrees Fahrenheit"));
    CHECK(has(mixed.errors, "short.csv: no "));
    CHECK(has(mixed.output, "made from 1 roast of 3"));
    CHECK(has(desk.text("t.json"), R"("status": "approved")"));

    const auto twice = Desk::target(
        {"make", "--from", good, desk.write("again.csv", roast_csv(1)), "--out", desk.file("twice.json")});
    CHECK(twice.status == 0);
    CHECK_MESSAGE(has(twice.errors, "again.csv: the same roast as"), twice.errors);
    CHECK(has(twice.output, "made from 1 roast of 2"));

    const auto nothing =
        Desk::target({"make", "--from", desk.file("short.csv"), "--out", desk.file("u.json")});
    CHECK(nothing.status == 2);
    CHECK(has(nothing.errors, "none of the roasts can be used"));
    CHECK_FALSE(std::filesystem::exists(desk.file("u.json")));
    CHECK(Desk::target({"make", "--out", out}).status == 2);
    CHECK(has(Desk::target({"make", "--from", good, "--out", desk.file("t.txt")}).errors, "ends in .json"));
    CHECK(has(Desk::target({"make", "--from", good, "--out", desk.write("n.json", "[]")}).errors,
              "is no target"));
    const auto crackless = Desk::target(
        {"make", "--from", desk.write("n.csv", roast_csv(4, false)), "--out", desk.file("n2.json")});
    CHECK(has(crackless.output, "first crack is marked in no roast"));
    CHECK(has(crackless.errors, "/milestones: no first crack: it can be followed"));
}

TEST_CASE("target make --from-sample: times and never temperatures, on trial at first") {
    const Desk desk;
    const std::string sample = desk.write("sample.csv", roast_csv(7));
    const std::string base = desk.file("base.json");
    REQUIRE(Desk::target({"make", "--from", desk.write("a.csv", roast_csv(1)), "--out", base}).status == 0);
    const auto alone = Desk::target({"make", "--from-sample", sample, "--out", desk.file("s.json")});
    CHECK(alone.status == 2);
    CHECK(has(alone.errors, "gives times, never temperatures"));
    const auto approved = Desk::target({"make", "--from-sample", sample, "--base", base, "--approved-by", "X",
                                        "--out", desk.file("s.json")});
    CHECK(approved.status == 2);
    const auto seeded =
        Desk::target({"make", "--from-sample", sample, "--base", base, "--out", desk.file("s.json")});
    CHECK_MESSAGE(seeded.status == 0, seeded.errors);
    CHECK(has(seeded.output, "temperatures and levels stay this station's"));
    CHECK(has(seeded.output, "the sample's burner went down at 4:00"));
    CHECK(has(seeded.errors,
              "/seeded_from: its times and its intent come from a sample roast of another machine"));
    CHECK(has(desk.text("s.json"), "\"seeded_from\": \"" + sample));
}

TEST_CASE("rerun: weights and colours that are no numbers, and a drop that is marked twice") {
    const Desk desk;
    const std::string roast = desk.write("roast.csv", roast_csv(2));
    REQUIRE(Desk::target({"make", "--from", roast, "--out", desk.file("t.json")}).status == 0);
    const auto rerun = [&](const std::string& path, const std::string& option, const std::string& value) {
        return run_program({DRUMWATCH_DAEMON, "rerun", path, "--target", desk.file("t.json"), option, value},
                           kHang);
    };
    for (const char* option : {"--roasted-kg", "--charge-kg", "--colour"}) {
        for (const char* value : {"nan", "inf", "-3", "10,2", "ten"}) {
            CAPTURE(option);
            CAPTURE(value);
            const auto refused = rerun(roast, option, value);
            CHECK(refused.status == 2);
            CHECK(has(refused.errors, "is no number of"));
        }
    }
    CHECK(rerun(roast, "--colour", "58").status == 0);
    std::string twice = roast_csv(2);
    for (const char* at : {"\n690,", "\n700,"}) {
        const auto row = twice.find(at);
        REQUIRE(row != std::string::npos);
        twice.insert(twice.find('\n', row + 1), "drop");
    }
    const auto marked = rerun(desk.write("twice.csv", twice), "--colour", "58");
    CHECK(has(marked.errors, "drop is marked twice, at 690 s and at 700 s: the later one counts"));
    CHECK_FALSE(has(marked.output, "No good reading"));
    CHECK(has(marked.output, "drop"));
}

TEST_CASE("target check and rerun: a target that can't be, and one to look at, with their places") {
    const Desk desk;
    const std::string head = R"({"drumwatch_target": 1, "name": "x", "points": )";
    struct Row {
        std::string text;
        int status;
        const char* says;
    };
    const Row rows[] = {
        {head + "[[0, 195], [600, 206]]}", 0, "/points: 2 points: followed as straight lines"},
        {head + "[[0, 195], [60, 80], [30, 90]]}", 2,
         "/points/2: time 30 s is not after the point before, 60 s"},
        {head + "[[0, 390], [60, 170], [600, 410]]}", 2, "this looks like degrees Fahrenheit"},
        {head + "[[0, 195], [60, 80], [600, 206]]}", 0, "/milestones: no first crack"},
        {head + "[[0, 195], [60, 80], [300, 170], [400, 150], [600, 206]]}", 0,
         "falls after its turning point"},
        {head + R"([[0, 195], [60, 80], [600, 206]], "status": "retired"})", 0, "/status: a retired target"},
        {head +
             R"([[0, 195], [60, 80], [600, 206]], "moves": [{"control": "burner", "to": 5, "unit": "%", "when": {"at_s": 601}}]})",
         2, "/moves/0/when: 601 s lies after the curve's end"},
    };
    const std::string roast = desk.write("roast.csv", roast_csv(9));
    for (const Row& row : rows) {
        const std::string path = desk.write("t.json", row.text);
        const auto checked = Desk::target({"check", path});
        CHECK_MESSAGE(checked.status == row.status, row.says);
        CHECK_MESSAGE(has(checked.errors, row.says), row.says, "\n", checked.errors);
        const auto rerun = run_program({DRUMWATCH_DAEMON, "rerun", roast, "--target", path}, kHang);
        CHECK_MESSAGE(rerun.status == row.status, row.says);
        CHECK_MESSAGE(has(rerun.errors, row.says), row.says, "\n", rerun.errors);
    }
    CHECK(Desk::target({"check", desk.file("nowhere.json")}).status == 2);
    CHECK(Desk::target({"edit", desk.file("t.json"), "--out", desk.file("u.json")}).status == 2);
}
