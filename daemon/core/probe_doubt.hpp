// What makes a good reading doubtful without making it wrong: told, and still used.
#pragma once

#include <cstdint>
#include <string_view>

namespace drumwatch {

enum class ProbeDoubt : std::uint8_t {
    none,
    noisy,            ///< spikes, as of burner ignition
    apart_from_twin,  ///< another probe in the same place reads otherwise; nobody can say which is right
};
inline constexpr int kProbeDoubts = 3;

/// The word of the public interface, e.g. "apart_from_twin".
std::string_view name(ProbeDoubt doubt);

}  // namespace drumwatch
