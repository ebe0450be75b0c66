#pragma once

#include <cstdint>
#include <cstdio>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace drumwatch::simulator {

/// Something that truly happened. Names: preheat, ready, charge, turning_point, yellow, first_crack, drop,
/// move, cooled, coil, fault, end.
struct TruthEvent {
    std::string name;
    std::int64_t sim_ms = 0;
    int batch = 0;
    std::optional<double> since_charge_s;
    double bean_c = 0.0;  ///< the probe without noise and rounding
    std::vector<std::pair<std::string, std::variant<double, std::string, bool, std::int64_t>>> more;
};
using TruthSink = std::function<void(const TruthEvent&)>;

/// The event as one JSON object on one line, without line end.
std::string truth_line(const TruthEvent& event);

/// Writes JSON Lines, flushed per line, so that a reader who follows the file misses nothing.
class TruthLog {
  public:
    /// Throws SetupError when the file cannot be written.
    explicit TruthLog(const std::string& path);
    ~TruthLog();
    TruthLog(const TruthLog&) = delete;
    TruthLog& operator=(const TruthLog&) = delete;
    void write(const TruthEvent& event);

  private:
    std::FILE* file_;
};

}  // namespace drumwatch::simulator
