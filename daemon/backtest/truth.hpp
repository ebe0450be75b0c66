// What a roast file says happened, for detection, forecast and verdict to be held against: its marks, and the
// column `verdict` where a person wrote the right one (clear, taste, hold or unjudged, in any row; the first
// cell that is not blank counts).
#pragma once

#include <array>
#include <optional>
#include <string>

#include "core/verdict.hpp"
#include "files/roast_csv.hpp"

namespace drumwatch {

struct FileTruth {
    /// Indexed by Milestone; seconds since the first row. A milestone that is marked more than once counts
    /// where it was marked last; a charge that is marked after a drop begins another roast, which does not
    /// count.
    std::array<std::optional<double>, kMilestones> mark_s;
    std::optional<Disposition> verdict;
    std::string odd_verdict;  ///< what stands in the column and is no verdict
    std::optional<double> at(Milestone which) const { return mark_s[static_cast<std::size_t>(which)]; }
};

FileTruth truth_of(const RoastFile& file);

}  // namespace drumwatch
