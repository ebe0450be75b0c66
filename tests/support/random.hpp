// Random numbers for tests: the same for a seed on every machine (splitmix64, from memory of S. Vigna's
// public-domain code; normal numbers as the sum of twelve uniform ones). A test prints its seed.
#pragma once

#include <cstdint>

namespace drumwatch {

class TestRandom {
  public:
    explicit TestRandom(std::uint64_t seed) : state_(seed) {}
    std::uint64_t bits() {
        std::uint64_t z = (state_ += 0x9E3779B97F4A7C15u);
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
        return z ^ (z >> 31);
    }
    std::uint64_t below(std::uint64_t end) {
        return bits() % end;
    }  ///< 0 to end - 1 (its small bias is no matter)
    double uniform() { return static_cast<double>(bits() >> 11) / 9007199254740992.0; }  ///< 0 to below 1
    double uniform(double low, double high) { return low + (high - low) * uniform(); }
    double normal() {
        double sum = -6;
        for (int i = 0; i < 12; ++i) sum += uniform();
        return sum;
    }

  private:
    std::uint64_t state_;
};

}  // namespace drumwatch
