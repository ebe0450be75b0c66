// Where a curve left the line that it had followed, and whether it broke away there or bends away slowly, as
// after first crack or a move: that is better met by a parabola than by a knee. Found in three steps, each
// for a tick of its own, since together they are more work than the rest of a tick. PURE, one thread, no
// allocation.
#pragma once

#include <cstdint>
#include <optional>

#include "core/ring_buffer.hpp"
#include "roast/milestones/curve_line.hpp"
#include "roast/milestones/knee.hpp"

namespace drumwatch {

struct Hinge {
    Tick at;
    bool sharp = true;
};

class HingeSearch {
  public:
    void start() { next_ = Step::gather; }
    /// One step further: `recent` readings, which left their `line` at `since`. What was found with the last
    /// one. A few readings are done with at once.
    std::optional<Hinge> go_on(const RingBuffer<BeanPoint>& recent, const CurveLine& line, Tick since);

  private:
    enum class Step : std::uint8_t { gather, find_knee, compare };
    void take(const RingBuffer<BeanPoint>& recent, const CurveLine& line, Tick since);
    void take_means(const RingBuffer<BeanPoint>& recent, const CurveLine& line, std::size_t last);
    Hinge found() const;

    KneeFit fit_;
    Tick since_;
    double to_s_ = 0;
    KneeFit::Knee knee_;
    Step next_ = Step::gather;
};

}  // namespace drumwatch
