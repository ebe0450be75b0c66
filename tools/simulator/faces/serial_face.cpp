#include "simulator/faces/serial_face.hpp"

#include <fcntl.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <filesystem>

namespace drumwatch::simulator {
namespace {

constexpr std::chrono::seconds kUnreadFor{1};

std::string field(double value_c) {
    if (!std::isfinite(value_c)) return "---";
    // Whole tenths by hand: no locale can turn the point into a comma.
    const auto tenths = std::llround(value_c * 10.0);
    const auto size = tenths < 0 ? -tenths : tenths;
    return (tenths < 0 ? "-" : "") + std::to_string(size / 10) + "." + std::to_string(size % 10);
}

void make_link(const std::string& target, const std::string& link) {
    std::error_code error;
    if (std::filesystem::is_symlink(link, error)) std::filesystem::remove(link, error);
    std::filesystem::create_symlink(target, link, error);
    if (error) throw SetupError("--serial-link " + link + ": " + error.message());
}

}  // namespace

std::string serial_line(const Readings& readings) {
    return field(readings[static_cast<std::size_t>(Probe::bean)]) + "," +
           field(readings[static_cast<std::size_t>(Probe::exhaust)]) + "\r\n";
}

SerialFace::SerialFace(const std::string& link, std::int64_t period_ms)
    : link_(link), period_ms_(period_ms), last_read_(std::chrono::steady_clock::now()) {
    master_ = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    std::array<char, 128> name{};
    if (master_ < 0 || grantpt(master_) != 0 || unlockpt(master_) != 0 ||
        ptsname_r(master_, name.data(), name.size()) != 0) {
        throw SetupError(std::string("no pseudo-terminal to be had: ") + std::strerror(errno));
    }
    path_ = name.data();
    slave_ = open(name.data(), O_RDWR | O_NOCTTY | O_CLOEXEC);
    termios raw{};
    if (slave_ < 0 || tcgetattr(slave_, &raw) != 0) {
        throw SetupError("cannot open " + path_ + ": " + std::strerror(errno));
    }
    cfmakeraw(&raw);
    tcsetattr(slave_, TCSANOW, &raw);
    if (!link_.empty()) make_link(path_, link_);
}

SerialFace::~SerialFace() {
    std::error_code error;
    if (!link_.empty() && std::filesystem::read_symlink(link_, error) == path_) {
        std::filesystem::remove(link_, error);
    }
    if (slave_ >= 0) close(slave_);
    if (master_ >= 0) close(master_);
}

void SerialFace::follow(const Floor& floor) {
    if (floor.sim_ms() < next_ms_) return;
    next_ms_ = floor.sim_ms() - floor.sim_ms() % period_ms_ + period_ms_;
    if (floor.fault_active(FaultKind::mute_serial)) return;
    write_line(serial_line(floor.readings()));
}

void SerialFace::write_line(const std::string& line) {
    const auto now = std::chrono::steady_clock::now();
    int waiting = 0;
    ioctl(slave_, FIONREAD, &waiting);
    if (waiting < waiting_bytes_ || waiting == 0) last_read_ = now;
    if (now - last_read_ > kUnreadFor) {
        tcflush(slave_, TCIFLUSH);
        waiting = 0;
    }
    const auto written = write(master_, line.data(), line.size());
    waiting_bytes_ = waiting + static_cast<int>(written > 0 ? written : 0);
}

}  // namespace drumwatch::simulator
