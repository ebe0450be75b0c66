#include "roast/verdict/gravity.hpp"

#include <algorithm>

namespace drumwatch {

namespace {

int gravity(Disposition calls_for) {
    switch (calls_for) {
        case Disposition::hold:
            return 3;
        case Disposition::unjudged:
            return 2;
        case Disposition::taste:
            return 1;
        case Disposition::clear:
            return 0;
    }
    return 0;
}

}  // namespace

void settle(Verdict& verdict) {
    // By insertion: they are few, and std::stable_sort takes memory.
    for (auto next = verdict.reasons.begin(); next != verdict.reasons.end(); ++next) {
        const auto place = std::upper_bound(
            verdict.reasons.begin(), next, *next,
            [](const Reason& a, const Reason& b) { return gravity(a.calls_for) > gravity(b.calls_for); });
        std::rotate(place, next, next + 1);
    }
    verdict.disposition = verdict.reasons.empty() ? Disposition::clear : verdict.reasons[0].calls_for;
}

}  // namespace drumwatch
