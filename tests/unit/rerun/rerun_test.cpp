#include "rerun/rerun.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "rerun/source_roast.hpp"
#include "support/roast_curve.hpp"
#include "support/targets.hpp"

using namespace drumwatch;
using nlohmann::json;

namespace {

/// The true curve of a shape, moved by `warmer_c` at every instant, as a target.
Target target_of(const CurveShape& shape, double warmer_c = 0) {
    Target target = straight_target();
    target.points.clear();
    for (const CurvePoint& point : true_curve(shape)) {
        const bool whole = std::fabs(point.t_s - std::round(point.t_s)) < 1e-6;
        if (point.t_s >= 0 && point.t_s <= shape.drop_s && whole)
            target.points.push_back({point.t_s, point.bean_c + warmer_c});
    }
    target.milestones = {};
    target.drop = Trigger{TriggerKind::at_s, shape.drop_s};
    return target;
}

RoastFile with_marks(const CurveShape& shape) {
    RoastFile file = roast_file(shape);
    for (RoastRow& row : file.rows) {
        const double since_s = static_cast<double>(row.elapsed_ms) / 1000 - shape.idle_s;
        if (std::fabs(since_s - 500) < 1e-6) row.mark = Milestone::first_crack;
    }
    return file;
}

double at_s(const RerunResult& result, Milestone milestone) {
    const auto& found = result.milestones[static_cast<std::size_t>(milestone)];
    REQUIRE(found);
    return seconds_between(result.charge, found->at);
}

}  // namespace

TEST_CASE("no sample after an instant is looked at for it") {
    const CurveShape shape;
    const RoastFile whole = roast_file(shape);
    RerunOptions options;
    options.target = share(target_of(shape));
    const RerunResult all = rerun(whole, options);
    REQUIRE(all.forecasts.size() > 300);
    for (const double end_s : {200.0, 333.25, 480.0}) {
        CAPTURE(end_s);
        RoastFile part = whole;
        while (static_cast<double>(part.rows.back().elapsed_ms) / 1000 > end_s) part.rows.pop_back();
        const RerunResult until = rerun(part, options);
        REQUIRE_FALSE(until.forecasts.empty());
        for (std::size_t i = 0; i < until.forecasts.size() && until.forecasts[i].file_s < end_s; ++i) {
            REQUIRE(until.forecasts[i].file_s == all.forecasts[i].file_s);
            REQUIRE(until.forecasts[i].at_s == all.forecasts[i].at_s);
            REQUIRE(until.forecasts[i].low_s == all.forecasts[i].low_s);
        }
    }
}

TEST_CASE("a target ends where the curve shows the drop, also where that was marked some seconds late") {
    const CurveShape shape;
    for (const double late_s : {-1.0, 0.0, 2.0, 6.0, 12.0, 30.0}) {
        CAPTURE(late_s);
        RoastFile file = roast_file(shape);
        for (RoastRow& row : file.rows) {
            const double since_s = static_cast<double>(row.elapsed_ms) / 1000 - shape.idle_s;
            if (std::fabs(since_s - shape.drop_s - late_s) < 1e-6) row.mark = Milestone::drop;
        }
        const auto roast = source_roast(file, "late.csv");
        REQUIRE(roast);
        // Half a minute is no slip of a hand: what was meant is for a person to say.
        const double end_s = late_s < 0 || late_s > 15 ? shape.drop_s + late_s : shape.drop_s;
        CHECK(std::fabs(roast.value().drop_s() - end_s) < 1);
        CHECK(std::fabs(roast.value().bean.back().t_s - end_s) < 1.5);
    }
}

TEST_CASE("a file's marks are a person's, unless they are to be ignored") {
    const CurveShape shape;
    RerunOptions options;
    const RerunResult kept = rerun(with_marks(shape), options);
    CHECK(at_s(kept, Milestone::first_crack) == doctest::Approx(500).epsilon(0.003));
    CHECK(kept.milestones[static_cast<std::size_t>(Milestone::first_crack)]->source == MarkSource::mark);
    CHECK(kept.forecasts.back().now_s < 501);
    options.ignore_marks = true;
    const RerunResult ignored = rerun(with_marks(shape), options);
    const auto& crack = ignored.milestones[static_cast<std::size_t>(Milestone::first_crack)];
    CHECK((!crack || crack->source == MarkSource::detected));
    CHECK(ignored.forecasts.back().now_s > 501);
}

TEST_CASE("rows off the grid and slower than it give the same roast to within a second") {
    CurveShape shape;
    RerunOptions options;
    const RerunResult fine = rerun(roast_file(shape), options);
    for (const double step_s : {0.333, 0.97}) {
        CAPTURE(step_s);
        shape.step_s = step_s;
        const RerunResult coarse = rerun(roast_file(shape), options);
        REQUIRE(coarse.dropped);
        CHECK(std::fabs(seconds_between(fine.charge, coarse.charge)) < 1);
        CHECK(std::fabs(at_s(fine, Milestone::turning_point) - at_s(coarse, Milestone::turning_point)) < 2);
        CHECK(std::fabs(at_s(fine, Milestone::drop) - at_s(coarse, Milestone::drop)) < 1.5);
    }
}

TEST_CASE("a file without a roast, and an empty one, say so without one") {
    CurveShape idle;
    RoastFile file = roast_file(idle);
    file.rows.resize(200);  // 50 s before the charge
    CHECK_FALSE(rerun(file, {}).charged);
    CHECK(json::parse(report_json(rerun(file, {})))["milestones"].empty());
    file.rows.clear();
    CHECK_FALSE(rerun(file, {}).charged);
}

TEST_CASE("a file that begins in the middle of a roast is not held against the target") {
    const CurveShape shape;
    RoastFile late;
    late.channels = roast_file(shape).channels;
    for (RoastRow row : roast_file(shape).rows) {
        row.elapsed_ms -= 300'000;
        if (row.elapsed_ms >= 0) late.rows.push_back(row);
    }
    RerunOptions options;
    options.target = share(target_of(shape));
    const RerunResult result = rerun(late, options);
    REQUIRE(result.dropped);
    CHECK_FALSE(result.milestones[0]);
    CHECK(result.verdict.disposition == Disposition::unjudged);
    CHECK(json::parse(report_json(result))["deviation"].is_null());
    CHECK(report_text(result).find("deviation") == std::string::npos);
}

TEST_CASE("a crack marked in a file that begins late in its roast is taken once the drop tells of it") {
    const CurveShape shape;
    RoastFile file = with_marks(shape);
    cut_before(file, shape.idle_s + 420);
    const RerunResult result = rerun(file, {});
    const auto& crack = result.milestones[static_cast<std::size_t>(Milestone::first_crack)];
    REQUIRE(crack);
    CHECK(crack->source == MarkSource::mark);
    CHECK(std::fabs(seconds_between(Tick{}, crack->at) - 80) < 1);
    CHECK(report_json(result).find("\"remarks\"") == std::string::npos);
}

TEST_CASE("what the report leaves out or a mark that can't be is a remark, in words and as JSON") {
    const CurveShape shape;
    RoastFile file = roast_file(shape);
    file.rows[40].mark = Milestone::yellow;  // ten seconds into the file, nothing in the drum
    const std::size_t rows = file.rows.size();
    const std::int64_t from_ms = file.rows.back().elapsed_ms + 250;
    for (std::size_t i = 0; i < rows; ++i) {
        RoastRow row = file.rows[i];
        row.elapsed_ms += from_ms;
        row.mark.reset();
        file.rows.push_back(row);
    }
    const RerunResult result = rerun(file, {});
    const json remarks = json::parse(report_json(result))["remarks"];
    REQUIRE(remarks.size() == 2);
    CHECK(remarks[1].get<std::string>().find("another roast ends") != std::string::npos);
    CHECK(remarks[0] == "0:10 of the file: yellow is not marked: that lies before the charge");
    CHECK(report_text(result).find("to look at\n") != std::string::npos);
}

TEST_CASE("the report has the keys that README names, and signs as it says") {
    const CurveShape shape;
    Target target = target_of(shape, 3);  // the roast runs 3 degrees below it, so behind
    target.moves = {planned(Control::burner, 70, TriggerKind::at_s, 200)};
    RerunOptions options;
    options.target = share(target);
    RoastFile file = with_marks(shape);
    Channel burner;
    burner.name = "burner";
    burner.role = Role::burner;
    burner.unit = Unit::percent;
    file.channels.push_back(burner);
    for (RoastRow& row : file.rows) {
        const double since_s = static_cast<double>(row.elapsed_ms) / 1000 - shape.idle_s;
        row.values.push_back(since_s < 245 ? 90'000 : 70'000);  // 45 s late
    }
    const json report = json::parse(report_json(rerun(file, options)));
    for (const char* key : {"milestones", "forecasts", "moves", "deviation", "alarms", "verdict"})
        CHECK_MESSAGE(report.contains(key), key);
    CHECK(report.size() == 6);
    const json& crack = report["milestones"]["first_crack"];
    CHECK(crack["source"] == "mark");
    CHECK(crack["file_s"].get<double>() ==
          doctest::Approx(crack["at_s"].get<double>() +
                          report["milestones"]["charge"]["file_s"].get<double>()));
    for (const char* key : {"file_s", "now_s", "first_crack_at_s", "low_s", "high_s"})
        CHECK_MESSAGE(report["forecasts"][0].contains(key), key);
    REQUIRE(report["moves"].size() == 1);
    const json& move = report["moves"][0];
    for (const char* key :
         {"control", "planned_at_s", "made_at_s", "error_s", "planned", "made", "unit", "judged"})
        CHECK_MESSAGE(move.contains(key), key);
    CHECK(move["judged"] == "late");
    CHECK(std::fabs(move["error_s"].get<double>() - 45) < 2);
    for (const char* key :
         {"max_c", "max_at_s", "outside_s", "outside_total_s", "end_c", "max_ahead_s", "max_behind_s"})
        CHECK_MESSAGE(report["deviation"].contains(key), key);
    CHECK(report["deviation"]["max_c"].get<double>() < -2.5);
    CHECK(report["deviation"]["end_c"].get<double>() < -2.5);
    CHECK(report["deviation"]["max_behind_s"].get<double>() < -5);
    CHECK(report["verdict"]["disposition"] == "hold");
    for (const char* key : {"rule", "text", "value", "limit"})
        CHECK_MESSAGE(report["verdict"]["reasons"][0].contains(key), key);
}

TEST_CASE(
    "what a marked roast teaches is known once its file has ended, and an ignored mark teaches nothing") {
    const CurveShape shape;
    RerunOptions options;
    options.lessons.roasts = 3;
    options.lessons.crack_c = 150;
    const RerunResult taught = rerun(with_marks(shape), options);
    CHECK(taught.lessons_after.roasts == 4);
    options.ignore_marks = true;
    const RerunResult ignored = rerun(with_marks(shape), options);
    CHECK(ignored.lessons_after.roasts == 3);
    CHECK(ignored.lessons_after.crack_c == 150);
}
