#pragma once

#include <cstdint>

namespace drumwatch::simulator {

/// splitmix64 (Sebastiano Vigna, public domain): small, the same everywhere. The standard library's
/// distributions differ between implementations, so these are our own.
class Random {
  public:
    explicit Random(std::uint64_t seed) : state_(seed) {}
    std::uint64_t next() {
        std::uint64_t z = (state_ += 0x9E3779B97F4A7C15ULL);
        z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31U);
    }
    /// In [0, 1).
    double uniform() { return static_cast<double>(next() >> 11U) * 0x1.0p-53; }
    double between(double low, double high) { return low + (high - low) * uniform(); }
    /// Mean 0, sd 1, never beyond +-6: twelve uniform numbers summed, so that no mathematical library is
    /// involved.
    double normal() {
        double sum = -6.0;
        for (int i = 0; i < 12; ++i) sum += uniform();
        return sum;
    }
    /// A normal number cut off at two standard deviations.
    double normal_within_two() {
        const double drawn = normal();
        return drawn < -2.0 ? -2.0 : (drawn > 2.0 ? 2.0 : drawn);
    }

  private:
    std::uint64_t state_;
};

}  // namespace drumwatch::simulator
