#include "simulator/faces/registers.hpp"

#include <algorithm>
#include <bit>
#include <cmath>

namespace drumwatch::simulator {
namespace {

std::uint16_t tenths_of_degree(double value_c) {
    if (!std::isfinite(value_c)) return kOpenProbe;
    const double tenths = std::clamp(std::round(value_c * 10.0), -32768.0, 32766.0);
    return static_cast<std::uint16_t>(static_cast<std::int16_t>(tenths));
}

std::uint16_t tenths(double value) {
    return static_cast<std::uint16_t>(std::clamp(std::round(value * 10.0), 0.0, 65535.0));
}

std::uint16_t high_word(std::uint32_t value) { return static_cast<std::uint16_t>(value >> 16U); }
std::uint16_t low_word(std::uint32_t value) { return static_cast<std::uint16_t>(value & 0xFFFFU); }

}  // namespace

Registers registers_of(const Floor& floor) {
    Registers out;
    out.input.fill(kOpenProbe);
    const bool swapped = floor.fault_active(FaultKind::swapped_words);
    for (std::size_t i = 0; i < kProbeCount; ++i) {
        const double value_c = floor.readings()[i];
        out.input[i] = tenths_of_degree(value_c);
        const auto bits = std::bit_cast<std::uint32_t>(static_cast<float>(value_c));
        const std::size_t first = kFirstFloat + 2 * i;
        out.input[first] = swapped ? low_word(bits) : high_word(bits);
        out.input[first + 1] = swapped ? high_word(bits) : low_word(bits);
    }
    const auto time_ms = static_cast<std::uint32_t>(floor.sim_ms());
    out.holding = {
        tenths(floor.burner_pct()), tenths(floor.airflow_pct()), tenths(floor.machine().drum_rpm),
        high_word(time_ms),         low_word(time_ms),           static_cast<std::uint16_t>(floor.status())};
    return out;
}

}  // namespace drumwatch::simulator
