// Waits for something that another thread does; the time-out only stops a hang.
#pragma once

#include <chrono>
#include <thread>

namespace drumwatch {

template <typename Condition>
bool eventually(Condition condition, std::chrono::milliseconds within = std::chrono::seconds(20)) {
    const auto deadline = std::chrono::steady_clock::now() + within;
    while (!condition()) {
        if (std::chrono::steady_clock::now() >= deadline) return false;
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
    return true;
}

}  // namespace drumwatch
