// Random numbers that are the same everywhere: SplitMix64 (Steele, Lea, Flood, "Fast splittable pseudorandom
// number generators", OOPSLA 2014) and plain distributions on it. Print the seed in every test that uses one.
#pragma once

#include <cstdint>

namespace drumwatch {

class Random {
  public:
    explicit Random(std::uint64_t seed) : state_(seed) {}

    std::uint64_t next() {
        std::uint64_t z = (state_ += 0x9e3779b97f4a7c15U);
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9U;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebU;
        return z ^ (z >> 31);
    }
    /// From 0 up to and without `end` (the small bias does not matter here).
    std::uint64_t below(std::uint64_t end) { return next() % end; }
    double uniform() { return static_cast<double>(next() >> 11) * 0x1.0p-53; }
    /// Mean 0, standard deviation 1: twelve uniforms added, close enough to a normal distribution for noise.
    double normal() {
        double sum = -6;
        for (int i = 0; i < 12; ++i) sum += uniform();
        return sum;
    }

  private:
    std::uint64_t state_;
};

}  // namespace drumwatch
