// The allow-list of coils: the one place that decides whether Drumwatch may write to a bus.
//
// Drumwatch watches and records. It writes only to the coils of sounders, lights and heartbeat that the
// configuration lists; the list is empty by default. A driver takes an AllowedCoil, and only WriteList can
// make one, so there is no way round this file.
#pragma once

#include <algorithm>
#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

namespace drumwatch {

class AllowedCoil {
  public:
    std::uint16_t address() const { return address_; }

  private:
    friend class WriteList;
    explicit AllowedCoil(std::uint16_t address) : address_(address) {}
    std::uint16_t address_;
};

/// Immutable; any thread.
class WriteList {
  public:
    explicit WriteList(std::vector<std::uint16_t> coils) : coils_(std::move(coils)) {}
    /// Nothing for a coil that is not on the list.
    std::optional<AllowedCoil> find(std::uint16_t address) const {
        if (std::find(coils_.begin(), coils_.end(), address) == coils_.end()) return std::nullopt;
        return AllowedCoil(address);
    }

  private:
    std::vector<std::uint16_t> coils_;
};

}  // namespace drumwatch
