// What a backtest adds up to; README "Backtest" says what each figure is. One thread at a time.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "backtest/roast_check.hpp"

namespace drumwatch {

struct LeadFigures {
    ErrorFigures forecast;
    IntervalFigures interval;
    std::array<ErrorFigures, kPlainForecasts> plain;
    ErrorFigures floor;
    void add(const LeadCheck& check);
};

/// A detected milestone against its mark.
struct MilestoneFigures {
    static constexpr double kFar_s = 15;
    std::size_t marked = 0;
    std::size_t missed = 0;  ///< marked and not detected
    std::size_t far = 0;     ///< detected more than kFar_s off
    ErrorFigures error;      ///< of those within it; detected minus marked
    void add(std::optional<double> found_s, double marked_s);
};

inline constexpr std::size_t kDispositions = 4;
/// Given against right verdicts, where files say the right one.
struct VerdictFigures {
    std::array<std::array<std::size_t, kDispositions>, kDispositions> table{};  ///< [right][given]
    std::array<std::size_t, kDispositions> given{};                             ///< of all roasts
    std::size_t stated() const;
    std::size_t agree() const;
};

/// One roast's forecasts, for the plot.
struct ForecastTrack {
    struct Point {
        double before_s;  ///< before first crack was marked
        ErrorWithInterval off;
    };
    std::vector<Point> points;
};

class BacktestSummary {
  public:
    BacktestSummary(TargetPtr target, bool ignore_marks);

    void add(const FileFacts& facts, const RerunResult& result);
    void add_unreadable(std::string path, std::string why);

    TargetPtr target;
    bool ignore_marks = false;
    std::size_t read = 0;
    std::size_t without_charge = 0;
    std::size_t marked = 0;  ///< with a mark of first crack
    struct Unreadable {
        std::string path;
        std::string why;
    };
    std::vector<Unreadable> unreadable;
    std::array<LeadFigures, kLeads> leads;
    SteadinessFigures steadiness;
    std::array<MilestoneFigures, kMilestones> milestones;  ///< only where marks are ignored
    VerdictFigures verdicts;
    std::vector<ForecastTrack> tracks;
    Lessons lessons;  ///< what is known after the last file

  private:
    std::optional<double> expected_c() const;
    void add_milestones(const FileTruth& truth, const RerunResult& result);
    void add_verdict(const FileTruth& truth, const RerunResult& result);
    void add_track(const RerunResult& result, double crack_s);

    std::optional<double> target_crack_c_;
    double cracks_c_ = 0;  ///< sum of the marked crack temperatures so far
    std::size_t cracks_ = 0;
};

/// For a person, and the object of README "Backtest" (stable).
std::string summary_text(const BacktestSummary& summary);
std::string summary_json(const BacktestSummary& summary);
/// One item of "files": `report` is what report_json() gives, byte for byte but for the last line's end.
std::string file_json(const std::string& path, const std::string& report);
/// An SVG of the forecast's errors against the time left to first crack.
std::string plot_svg(const BacktestSummary& summary);

}  // namespace drumwatch
