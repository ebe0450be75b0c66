// One roast's forecasts beside what its file says came. Times in the file's seconds (since its first row)
// unless they are errors; the instant that counts is the mark of first crack as the operator filed it.
// Pure but for allocation; any thread.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "backtest/bean_line.hpp"
#include "backtest/figures.hpp"
#include "backtest/plain_forecasts.hpp"
#include "backtest/truth.hpp"
#include "rerun/rerun.hpp"

namespace drumwatch {

/// A forecast is looked at so long before first crack was marked.
inline constexpr std::array kLeads_s = {180, 120, 60, 30};
inline constexpr std::size_t kLeads = kLeads_s.size();

/// What can be known of a file before any engine runs.
struct FileFacts {
    FileTruth truth;
    std::vector<BeanReading> readings;
    std::optional<double> crack_c;            ///< bean temperature at the mark
    std::array<PlainInstants, kLeads> plain;  ///< at each lead; empty without a mark
};
/// `target` may be null.
FileFacts facts_of(const RoastFile& file, const TargetCurve* target);

/// An arrival and its interval, in seconds after the mark.
struct ErrorWithInterval {
    double error_s = 0;
    double low_s = 0;
    double high_s = 0;
};

struct LeadCheck {
    /// The newest forecast that stood then; nothing where none did, or only one of more than 2 s before.
    std::optional<ErrorWithInterval> forecast;
    std::array<std::optional<double>, kPlainForecasts> plain_error_s;
    std::optional<double> floor_error_s;
};

/// Empty leads without a mark of first crack.
using LeadChecks = std::array<LeadCheck, kLeads>;
/// `expected_c`: where first crack was to be expected before this roast; the floor's only knowledge.
LeadChecks check_leads(const FileFacts& facts, const RerunResult& result, std::optional<double> expected_c);

ErrorWithInterval error_of(const ForecastAt& forecast, double crack_s);
/// With the arrivals in the file's seconds: the charge may be moved while the roast goes on.
std::vector<ForecastInstant> instants_of(const RerunResult& result);

}  // namespace drumwatch
