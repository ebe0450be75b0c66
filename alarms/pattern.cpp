#include "alarms/pattern.hpp"

#include <string_view>

namespace drumwatch {

namespace {
// One character a step; x sounds.
constexpr std::string_view kHigh = "x.x.x...x.x.....";
constexpr std::string_view kMedium = "x.x.x...............";
constexpr std::string_view kLow = "x.x.";
}  // namespace

bool pulse(Pattern pattern, std::int64_t since_ms) {
    if (since_ms < 0) return false;
    const auto step = static_cast<std::size_t>(since_ms / kPulseStep_ms);
    switch (pattern) {
        case Pattern::off:
            return false;
        case Pattern::high:
            return kHigh[step % kHigh.size()] == 'x';
        case Pattern::medium:
            return kMedium[step % kMedium.size()] == 'x';
        case Pattern::low:
            return step < kLow.size() && kLow[step] == 'x';
    }
    return false;
}

}  // namespace drumwatch
