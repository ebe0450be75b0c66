// What makes a good reading doubtful without making it wrong: noise, and a twin that reads otherwise. PURE,
// one thread, no allocation. Numbers are judgement.
#pragma once

#include <cstdint>
#include <optional>

#include "core/fixed_list.hpp"
#include "core/probe_doubt.hpp"
#include "core/tick.hpp"

namespace drumwatch {

/// Spikes in a minute: noisy from six on, quiet again below two. Burner ignition gives them; a curve never
/// does.
class NoiseWatch {
  public:
    /// `spikes`: how many there were since the beginning (Smoother::spikes). A second apart is often enough.
    void take(Tick now, std::uint32_t spikes);
    /// Whether take() would change nothing but forget.
    bool knows(std::uint32_t spikes) const { return spikes == spikes_; }
    bool noisy() const { return noisy_; }

  private:
    static constexpr std::size_t kNoisy = 6;

    std::uint32_t spikes_ = 0;
    FixedList<Tick, kNoisy> newest_;  ///< oldest first
    bool noisy_ = false;
};

/// Two probes in one place: apart when the mean difference of about 20 s was beyond the limit for 60 s. Not
/// judged while either moves by more than 30 degrees a minute: two sheaths are never equally fast.
class TwinWatch {
  public:
    void add(Tick now, double own_c, double twin_c, double own_per_min, double twin_per_min, double limit_c);
    bool apart() const { return apart_; }
    double mean_c() const { return mean_c_.value_or(0); }  ///< own minus twin

  private:
    std::optional<double> mean_c_;
    Tick at_;
    std::optional<Tick> since_;
    bool apart_ = false;
};

}  // namespace drumwatch
