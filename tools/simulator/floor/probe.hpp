#pragma once

#include <array>
#include <cstddef>

namespace drumwatch::simulator {

inline constexpr std::size_t kProbeCount = 7;
/// In this order everywhere, the register map included. `twin` stands beside the bean probe and reads the
/// same but for its own noise.
enum class Probe : std::size_t { bean, exhaust, inlet, drum, tray, oxidiser, twin };

inline constexpr std::array<const char*, kProbeCount> kProbeNames{"bean", "exhaust",  "inlet", "drum",
                                                                  "tray", "oxidiser", "twin"};

}  // namespace drumwatch::simulator
