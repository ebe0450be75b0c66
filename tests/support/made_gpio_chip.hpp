// GPIO chips for tests on a box without any: a recording of the kernel's protocol, no hardware and no kernel.
//
// The program that links made_gpio_chip.cpp gets an ioctl() of its own: for a made chip's file and the lines
// asked of it, it answers after linux/gpio.h (structures, sizes and flags as its comments say them, version 2
// of the interface); everything else goes to the kernel. What that header leaves open (which of the errors,
// a buffer of 16 events whose oldest is lost, EPERM for switching an input) is from memory of the kernel's
// drivers/gpio/gpiolib-cdev.c. open, close, poll and read are the kernel's own: a chip is a plain file, a
// line is a pipe. What it can't show: electrical levels, a real chip's delays, and what a line does once
// nobody holds it.
#pragma once

#include <linux/gpio.h>

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace drumwatch {

/// Thread: any. Must outlive what has its lines open.
class MadeGpioChip {
  public:
    struct Switched {
        std::int64_t at_ms = 0;
        std::uint32_t offset = 0;
        bool level = false;  ///< at the pin: high or low
        friend bool operator==(const Switched&, const Switched&) = default;
    };

    /// Makes the file `path`. `now_ms` stamps what happens.
    MadeGpioChip(std::string path, std::string label, std::uint32_t lines,
                 std::function<std::int64_t()> now_ms);
    ~MadeGpioChip();
    MadeGpioChip(const MadeGpioChip&) = delete;
    MadeGpioChip& operator=(const MadeGpioChip&) = delete;

    /// Every level an output was given, its first one included.
    std::vector<Switched> switched() const;
    /// The request that holds a line now.
    std::optional<gpio_v2_line_request> held(std::uint32_t offset) const;
    bool level(std::uint32_t offset) const;

    /// The outside moves an input's pin.
    void drive(std::uint32_t offset, bool level);
    /// Another program holds the line; an empty consumer gives no name.
    void hold(std::uint32_t offset, std::string consumer);
    void let_go(std::uint32_t offset);
    void refuse_debouncing(int error);  ///< of requests; 0: no more
    void refuse_switching(int error);   ///< of levels; 0: no more
    void unplug();                      ///< everything answers ENODEV
    void plug_in();                     ///< lines from before stay dead

    struct Impl;

  private:
    std::unique_ptr<Impl> impl_;
};

}  // namespace drumwatch
