// Whole backtests on made roasts: what a file is run with, what it can't see, and that threads change
// nothing.
#include "backtest/backtest.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "unit/backtest/made_files.hpp"

using namespace drumwatch;

namespace {

struct Ran {
    std::vector<BacktestFile> files;
    std::string summary;
};

BacktestOptions options_of(const MadeFiles& made) {
    BacktestOptions options;
    options.rerun.target = std::make_shared<const Target>(made.site.target);
    options.reports = true;
    return options;
}

Ran run(const std::vector<std::string>& paths, const BacktestOptions& options) {
    Ran ran;
    const auto summary =
        backtest(paths, options, [&](const BacktestFile& file) { ran.files.push_back(file); });
    ran.summary = summary_json(summary) + summary_text(summary) + plot_svg(summary);
    return ran;
}

RoastFile read(const std::string& path) {
    auto file = read_roast_csv(path);
    REQUIRE_MESSAGE(file.ok(), file.error());
    return file.value();
}

}  // namespace

TEST_CASE("each file is run with what the files before it taught, as rerun would") {
    const MadeFiles made(4, 5);
    const BacktestOptions options = options_of(made);
    const Ran ran = run(made.paths, options);
    REQUIRE(ran.files.size() == 5);
    RerunOptions alone = options.rerun;
    int differs = 0;
    for (std::size_t i = 0; i < ran.files.size(); ++i) {
        CAPTURE(i);
        const RerunResult result = rerun(read(made.paths[i]), alone);
        CHECK(ran.files[i].path == made.paths[i]);
        CHECK(ran.files[i].report == report_json(result));
        if (report_json(rerun(read(made.paths[i]), options.rerun)) != ran.files[i].report) ++differs;
        alone.lessons = result.lessons_after;
    }
    CHECK(differs == 4);  // but for the first, each knew something
}

TEST_CASE("a file is not changed by what comes after it, nor by the threads") {
    const MadeFiles made(4, 4);
    const BacktestOptions options = options_of(made);
    const Ran all = run(made.paths, options);
    CHECK(run(made.paths, options).summary == all.summary);
    const Ran some = run({made.paths[0], made.paths[1]}, options);
    for (std::size_t i = 0; i < 2; ++i) CHECK(some.files[i].report == all.files[i].report);
    const Ran turned = run({made.paths[1], made.paths[0]}, options);
    CHECK(turned.files[0].report != all.files[1].report);
}

TEST_CASE("a file cut short changes no forecast before the cut") {
    const MadeFiles made(6, 2);
    RerunOptions options = options_of(made).rerun;
    options.lessons = rerun(read(made.paths[0]), options).lessons_after;
    const RoastFile whole = read(made.paths[1]);
    const RerunResult all = rerun(whole, options);
    REQUIRE(all.forecasts.size() > 200);
    for (const std::size_t share : {3u, 5u, 7u}) {
        RoastFile part = whole;
        part.rows.resize(whole.rows.size() * share / 10);
        const double end_s = static_cast<double>(part.rows.back().elapsed_ms) / 1000;
        const RerunResult until = rerun(part, options);
        REQUIRE_FALSE(until.forecasts.empty());
        for (std::size_t i = 0; i < until.forecasts.size() && until.forecasts[i].file_s < end_s; ++i) {
            REQUIRE(until.forecasts[i].file_s == all.forecasts[i].file_s);
            REQUIRE(until.forecasts[i].at_s == all.forecasts[i].at_s);
            REQUIRE(until.forecasts[i].high_s == all.forecasts[i].high_s);
        }
    }
}

TEST_CASE("ignored marks teach nothing and are what is detected is held against") {
    const MadeFiles made(4, 3);
    for (const std::string& path : made.paths) {
        RoastFile file = read(path);
        const RerunResult result = rerun(file, options_of(made).rerun);
        REQUIRE(result.dropped);
        // Marked 2 s late.
        const auto drop_ms = result.milestones[static_cast<std::size_t>(Milestone::drop)]->at.ms - 2000;
        const auto row = std::find_if(file.rows.begin(), file.rows.end(),
                                      [&](const RoastRow& r) { return r.elapsed_ms >= drop_ms; });
        row->mark = Milestone::drop;
        MadeFiles::write(path, write_roast_csv(file));
    }
    BacktestOptions options = options_of(made);
    options.rerun.ignore_marks = true;
    const auto summary = backtest(made.paths, options, [](const BacktestFile&) {});
    CHECK(summary.lessons.roasts == 0);
    const MilestoneFigures& drop = summary.milestones[static_cast<std::size_t>(Milestone::drop)];
    CHECK(drop.marked == 3);
    CHECK(drop.missed + drop.far == 0);
    CHECK(*drop.error.bias() > 0.9);
    CHECK(*drop.error.bias() < 2.1);
    CHECK(summary.marked == 3);
    CHECK(summary.leads[2].forecast.count() == 3);
}

TEST_CASE("the figures of made roasts are as good as they are, not better, and the plain ones are worse") {
    ErrorFigures forecast, floor, line;
    for (const std::uint64_t seed : {2u, 4u, 6u}) {
        CAPTURE(seed);
        const MadeFiles made(seed, 8);
        const auto summary = backtest(made.paths, options_of(made), [](const BacktestFile&) {});
        REQUIRE(summary.leads[0].forecast.count() >= 6);
        forecast.add(summary.leads[0].forecast.mean_error());
        floor.add(summary.leads[0].floor.mean_error());
        line.add(summary.leads[0].plain[0].mean_error());
        CHECK(*summary.steadiness.movement() > 0.005);
        CHECK(*summary.steadiness.movement() < 0.8);
    }
    MESSAGE("180 s before: forecast ", *forecast.mean_error(), " s, floor ", *floor.mean_error(),
            " s, straight line ", *line.mean_error(), " s");
    CHECK(*forecast.mean_error() > 4);
    CHECK(*forecast.mean_error() < 32);
    CHECK(*floor.mean_error() > 4);
    CHECK(*floor.mean_error() < 25);
    CHECK(*line.mean_error() > *forecast.mean_error());
}

TEST_CASE("a file that can't be read is told in its place, and the rest goes on") {
    const MadeFiles made(4, 2);
    const std::string bad = made.folder.file("bad.csv");
    MadeFiles::write(bad, "time,temperature\n1,2\n");
    const Ran ran = run({made.paths[0], bad, made.folder.file("none.csv"), made.paths[1]}, options_of(made));
    REQUIRE(ran.files.size() == 4);
    CHECK(ran.files[0].error.empty());
    CHECK(ran.files[1].error.find("bad.csv") != std::string::npos);
    CHECK(ran.files[2].error.find("none.csv") != std::string::npos);
    CHECK(ran.files[3].report == run(made.paths, options_of(made)).files[1].report);
}

TEST_CASE("a folder stands for its roast files in the order of their names") {
    const TempDir folder;
    for (const char* name : {"b.csv", "a.csv.gz", "c.txt", "a-2.csv", "target.json", "B.csv"})
        MadeFiles::write(folder.file(name), "x");
    std::filesystem::create_directory(folder.file("d.csv"));
    const RoastPaths found = roast_paths({"other.csv", folder.path() + "/"});
    CHECK(found.complaints.empty());
    const std::vector<std::string> right = {"other.csv", folder.file("B.csv"), folder.file("a-2.csv"),
                                            folder.file("a.csv.gz"), folder.file("b.csv")};
    CHECK(found.paths == right);
    const RoastPaths none = roast_paths({folder.file("d.csv")});
    CHECK(none.paths.empty());
    REQUIRE(none.complaints.size() == 1);
}
