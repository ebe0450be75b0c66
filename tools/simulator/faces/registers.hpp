#pragma once

#include <array>
#include <cstdint>

#include "simulator/floor/floor.hpp"

namespace drumwatch::simulator {

inline constexpr int kInputCount = 24;
inline constexpr int kFirstFloat = 10;
inline constexpr int kHoldingCount = 6;
inline constexpr int kTimeRegister = 3;
/// 16..19: whoever sets them presses the buttons that discrete inputs 0..3 are.
inline constexpr int kFirstPress = 16;
inline constexpr int kButtonCount = 4;
inline constexpr int kCoilCount = kFirstPress + kButtonCount;
inline constexpr std::uint16_t kOpenProbe = 0x7FFF;

struct Registers {
    std::array<std::uint16_t, kInputCount> input{};
    std::array<std::uint16_t, kHoldingCount> holding{};
};

/// The floor as the register map of ModbusServer shows it.
Registers registers_of(const Floor& floor);

}  // namespace drumwatch::simulator
