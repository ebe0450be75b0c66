// The command itself: its figures reckoned once more by Python, its files as rerun prints them, and what it
// says of bad input.
#include <doctest/doctest.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "support/child_process.hpp"
#include "unit/backtest/made_files.hpp"

using namespace drumwatch;
using nlohmann::json;
using std::chrono::seconds;

namespace {

Finished drumwatch_with(std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), DRUMWATCH_PROGRAM);
    return run_program(std::move(arguments), seconds(100));
}

std::string text_of(const std::string& path) {
    std::ostringstream text;
    text << std::ifstream(path, std::ios::binary).rdbuf();
    return text.str();
}

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

/// A site's roasts in a folder of their own, one packed.
struct Folder {
    MadeFiles made{8, 6};
    std::string path = made.folder.file("roasts");
    Folder() {
        std::filesystem::create_directory(path);
        for (std::size_t i = 0; i < made.paths.size(); ++i) {
            const std::string name = std::filesystem::path(made.paths[i]).filename().string();
            std::filesystem::rename(made.paths[i], path + "/" + name);
            made.paths[i] = path + "/" + name;
        }
        REQUIRE(run_program({"gzip", made.paths[3]}, seconds(20)).status == 0);
        made.paths[3] += ".gz";
    }
};

}  // namespace

TEST_CASE("backtest: python reckons the same figures from the files that are printed") {
    const Folder folder;
    const Finished ran = drumwatch_with({"backtest", "--target", folder.made.target, "--json", folder.path});
    REQUIRE_MESSAGE(ran.status == 0, ran.errors);
    const Finished python = run_program({"python3", DRUMWATCH_SCRIPT}, seconds(60), ran.output);
    MESSAGE(python.output);
    CHECK_MESSAGE(python.status == 0, python.errors);
}

TEST_CASE("backtest: a file's object is byte for byte what rerun prints with the lessons before it") {
    const Folder folder;
    const std::string lessons = folder.made.folder.file("lessons.json");
    std::vector<std::string> call = {"backtest", "--target",           folder.made.target,  "--save-lessons",
                                     lessons,    folder.made.paths[0], folder.made.paths[1]};
    REQUIRE(drumwatch_with(call).status == 0);
    CHECK(json::parse(text_of(lessons))["roasts"].get<int>() > 0);
    const Finished rerun = drumwatch_with(
        {"rerun", folder.made.paths[2], "--target", folder.made.target, "--lessons", lessons, "--json"});
    REQUIRE_MESSAGE(rerun.status == 0, rerun.errors);
    const Finished all = drumwatch_with({"backtest", "--target", folder.made.target, "--json", folder.path});
    const std::string object = rerun.output.substr(0, rerun.output.size() - 1);
    CHECK(has(all.output, "{\"file\": \"" + folder.made.paths[2] + "\", \"rerun\": " + object + "}"));
    const Finished going_on = drumwatch_with(
        {"backtest", "--target", folder.made.target, "--json", "--lessons", lessons, folder.made.paths[2]});
    CHECK(has(going_on.output, "\"rerun\": " + object + "}"));
    CHECK(drumwatch_with({"backtest", "--target", folder.made.target, "--json", folder.path}).output ==
          all.output);
}

TEST_CASE("backtest: text and picture for a person") {
    const Folder folder;
    const std::string plot = folder.made.folder.file("plot.svg");
    const Finished ran =
        drumwatch_with({"backtest", "--target", folder.made.target, "--plot", plot, folder.path});
    REQUIRE_MESSAGE(ran.status == 0, ran.errors);
    CHECK(has(ran.output, "6 roasts against made-8, version 1 (approved)"));
    CHECK(has(ran.output, "forecast over the floor"));
    CHECK(has(ran.output, "verdicts: "));
    const std::string svg = text_of(plot);
    CHECK(svg.starts_with("<svg "));
    CHECK(svg.ends_with("</svg>\n"));
    CHECK_FALSE(has(svg, "nan"));
    const Finished parsed = run_program(
        {"python3", "-c", "import sys, xml.dom.minidom as x; x.parse(sys.argv[1])", plot}, seconds(20));
    CHECK_MESSAGE(parsed.status == 0, parsed.errors);
}

TEST_CASE("backtest: picture and lessons take the place of their own kind only") {
    const Folder folder;
    const std::string& target = folder.made.target;
    const std::string roast = folder.made.paths[0];
    for (const std::string option : {"--plot", "--save-lessons"}) {
        for (const std::string& victim : {target, roast}) {
            CAPTURE(option);
            const std::string before = text_of(victim);
            const Finished ran = drumwatch_with({"backtest", "--target", target, option, victim, roast});
            CHECK(ran.status == 2);
            CHECK(has(ran.errors, victim + ": another kind of file stands there"));
            CHECK(ran.output.empty());
            CHECK(text_of(victim) == before);
        }
        const std::string own = folder.made.folder.file("own");
        MadeFiles::write(own, "");
        for (int twice = 0; twice < 2; ++twice)
            CHECK(drumwatch_with({"backtest", "--target", target, option, own, roast}).status == 0);
        MadeFiles::write(own, "");
    }
}

TEST_CASE("backtest: what can't be used is said by its name, and decides the exit code") {
    const Folder folder;
    const std::string& target = folder.made.target;
    const std::string bad = folder.made.folder.file("bad.csv");
    MadeFiles::write(bad, "a,b\n1,2\n");
    const Finished one_bad = drumwatch_with({"backtest", "--target", target, bad, folder.made.paths[0]});
    CHECK(one_bad.status == 1);
    CHECK(has(one_bad.errors, bad));
    CHECK(has(one_bad.output, "1 roast against"));
    const Finished all_bad = drumwatch_with({"backtest", "--target", target, "--json", bad});
    CHECK(all_bad.status == 2);
    CHECK(json::parse(all_bad.output)["summary"]["unreadable"][0]["file"] == bad);
    const std::string empty = folder.made.folder.file("empty");
    std::filesystem::create_directory(empty);
    const Finished none = drumwatch_with({"backtest", "--target", target, empty});
    CHECK(none.status == 2);
    CHECK(has(none.errors, empty));
    CHECK(drumwatch_with({"backtest", folder.path}).status == 2);
    CHECK(drumwatch_with({"backtest", "--target", target}).status == 2);
    CHECK(drumwatch_with({"backtest", "--target", bad, folder.path}).status == 2);
    CHECK(drumwatch_with({"backtest", "--target", target, "--lessons", bad, folder.path}).status == 2);
}

TEST_CASE("backtest: without a mark, a charge or a first crack in the target the rest is still given") {
    const Folder folder;
    const std::string idle = folder.made.folder.file("idle.csv");
    std::string rows = "elapsed_s,bean_c,verdict\n";
    for (int s = 0; s < 400; ++s) rows += std::to_string(s) + ",201.5," + (s == 7 ? "unjudged" : "") + "\n";
    MadeFiles::write(idle, rows);
    const Finished ran = drumwatch_with({"backtest", "--target", folder.made.target, idle});
    CHECK(ran.status == 0);
    CHECK(has(ran.errors, "no charge"));
    CHECK(has(ran.output, "no file marks first crack"));
    CHECK(has(ran.output, "1 of 1 are the right one"));
    Target plain = folder.made.site.target;
    plain.milestones[static_cast<std::size_t>(Milestone::first_crack)].reset();
    const std::string target = folder.made.folder.file("plain.json");
    MadeFiles::write(target, write_target(plain));
    const Finished without = drumwatch_with({"backtest", "--target", target, "--json", folder.path});
    CHECK(without.status == 0);
    CHECK(has(without.errors, "has no first crack"));
    const json lead = json::parse(without.output)["summary"]["first_crack"][3];
    CHECK(lead["forecast"]["roasts"].get<int>() > 3);
    CHECK(lead["straight_line"]["roasts"] == 0);
    CHECK(lead["straight_line"]["mean_error_s"].is_null());
}
