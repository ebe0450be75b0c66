#pragma once

#include <array>
#include <cstdint>

#include "simulator/floor/floor.hpp"

namespace drumwatch::simulator {

inline constexpr int kInputCount = 22;
inline constexpr int kFirstFloat = 10;
inline constexpr int kHoldingCount = 6;
inline constexpr int kTimeRegister = 3;
inline constexpr int kCoilCount = 2;
inline constexpr std::uint16_t kOpenProbe = 0x7FFF;

struct Registers {
    std::array<std::uint16_t, kInputCount> input{};
    std::array<std::uint16_t, kHoldingCount> holding{};
};

/// The floor as the register map of ModbusServer shows it.
Registers registers_of(const Floor& floor);

}  // namespace drumwatch::simulator
