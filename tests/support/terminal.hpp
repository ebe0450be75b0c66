// A pseudo-terminal: the driver opens `path`, the test is the device at the other end. It takes any speed and
// parity, so it proves nothing of them.
#pragma once

#include <doctest/doctest.h>
#include <fcntl.h>
#include <pty.h>
#include <unistd.h>

#include <stdexcept>
#include <string>
#include <string_view>

namespace drumwatch {

/// The device's end of a terminal line.
class Terminal {
  public:
    Terminal() {
        int line = -1;
        char name[128] = {};
        if (::openpty(&device_, &line, name, nullptr, nullptr) != 0) throw std::runtime_error("openpty");
        ::fcntl(device_, F_SETFD, FD_CLOEXEC);
        ::close(line);
        path_ = name;
    }
    ~Terminal() { unplug(); }
    Terminal(const Terminal&) = delete;
    Terminal& operator=(const Terminal&) = delete;
    const std::string& path() const { return path_; }
    int descriptor() const { return device_; }
    void say(std::string_view text) {
        CHECK(::write(device_, text.data(), text.size()) == static_cast<ssize_t>(text.size()));
    }
    void unplug() {
        if (device_ >= 0) ::close(device_);
        device_ = -1;
    }

  private:
    int device_ = -1;
    std::string path_;
};

}  // namespace drumwatch
