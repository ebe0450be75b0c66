#include "drivers/links/serial_port.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

namespace drumwatch {
namespace {

Error trouble(const char* what, const std::string& device, int error) {
    return Error{fmt::format("{} {}: {}", what, device, std::strerror(error))};
}

}  // namespace

Result<int> open_locked(const std::string& device) {
    const int port = ::open(device.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    const auto refuse = [&](const char* what) {
        const int error = errno;
        if (port >= 0) ::close(port);
        return trouble(what, device, error);
    };
    if (port < 0) return refuse(errno == EBUSY ? "another program uses" : "cannot open");
    if (::isatty(port) == 0) return refuse("not a serial port:");
    if (::flock(port, LOCK_EX | LOCK_NB) != 0) return refuse("another program uses");
    return port;
}

Result<Done> keep_others_out(int port, const std::string& device) {
    if (::ioctl(port, TIOCEXCL) != 0) return trouble("cannot keep others out of", device, errno);
    return Done{};
}

void let_others_in(int port) { ::ioctl(port, TIOCNXCL); }

}  // namespace drumwatch
