// What makes a good reading doubtful without making it wrong: noise, and a twin that reads otherwise. PURE,
// one thread, no allocation. Numbers are judgement.
#pragma once

#include <cstdint>
#include <optional>

#include "core/probe_doubt.hpp"
#include "core/tick.hpp"

namespace drumwatch {

/// Odd readings in a minute: those that lie 2.5 degrees or more from the middle of their neighbours. Noisy
/// from six on, quiet again below two. Burner ignition gives such spikes; a curve never bends so often.
class NoiseWatch {
  public:
    void add(Tick now, double value_c);
    void clear() { newest_ = 0; }  ///< after a gap: neighbours would not be neighbours
    bool noisy() const { return noisy_; }

  private:
    static constexpr int kOdd = 6;
    void forget(Tick now);

    double values_[2] = {};  ///< the two before, oldest first
    int newest_ = 0;         ///< how many of them are there
    bool spike_before_ = false;
    Tick odd_[kOdd] = {};  ///< newest last
    int odds_ = 0;
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
