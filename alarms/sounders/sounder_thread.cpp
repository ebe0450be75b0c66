#include "sounders/sounder_thread.hpp"

#include <poll.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <chrono>
#include <system_error>
#include <thread>
#include <utility>
#include <vector>

#include "sounders/button_board.hpp"
#include "sounders/descriptor.hpp"
#include "sounders/sounder_desk.hpp"
#include "sounders/sounder_order.hpp"

namespace drumwatch {

namespace {

/// CLOCK_MONOTONIC, as the kernel's stamps of GPIO events are.
std::int64_t steady_ms() {
    const auto since_boot = std::chrono::steady_clock::now().time_since_epoch();
    return std::chrono::duration_cast<std::chrono::milliseconds>(since_boot).count();
}

Descriptor make_bell() {
    Descriptor bell(::eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK));
    if (!bell) throw std::system_error(errno, std::generic_category(), "eventfd");
    return bell;
}

}  // namespace

struct SounderThread::Impl {
    Impl(const SounderSettings& settings, const SounderCalls& calls)
        : desk(settings, calls), buttons(settings, calls) {}

    // Core thread:
    void put_and_ring() {
        mailbox.put(order, steady_ms());
        ring();
    }
    void ring() const {
        const std::uint64_t once = 1;
        [[maybe_unused]] const ssize_t rung = ::write(bell.number(), &once, sizeof once);
    }

    // Sounder thread:
    void run();
    void wait(Due due);

    SounderOrder order;  ///< core thread only
    SounderMailbox mailbox;
    const Descriptor bell = make_bell();
    std::atomic<bool> stopping = false;
    SounderDesk desk;
    ButtonBoard buttons;
    std::vector<pollfd> waited_for;
    std::thread thread;  ///< last: it uses all of the above
};

void SounderThread::Impl::run() {
    while (!stopping) {
        // The time first: an order that comes in between has a fresh time, never one that is too old for it.
        const std::int64_t told_ms = mailbox.told_ms();
        const std::int64_t now_ms = steady_ms();
        if (told_ms >= 0) desk.hear(mailbox.order(), told_ms, now_ms);
        const Due due = desk.step(now_ms);
        wait(earlier(due, buttons.step(now_ms)));
    }
}

void SounderThread::Impl::wait(Due due) {
    waited_for.assign(1, {bell.number(), POLLIN, 0});
    buttons.wait_for(waited_for);
    constexpr std::int64_t kLongest_ms = 60'000;
    const std::int64_t left =
        std::clamp<std::int64_t>(due ? *due - steady_ms() : kLongest_ms, 0, kLongest_ms);
    ::poll(waited_for.data(), waited_for.size(), static_cast<int>(left));
    std::uint64_t rung = 0;
    [[maybe_unused]] const ssize_t heard = ::read(bell.number(), &rung, sizeof rung);
}

SounderThread::SounderThread(const SounderSettings& settings, SounderCalls calls)
    : impl_(std::make_unique<Impl>(settings, calls)) {
    impl_->thread = std::thread([this] { impl_->run(); });
}

SounderThread::~SounderThread() {
    impl_->stopping = true;
    impl_->ring();
    impl_->thread.join();
}

void SounderThread::tell(Pattern pattern, std::uint32_t onset) {
    const SounderOrder before = impl_->order;
    impl_->order.signal = signal_of(pattern);
    impl_->order.onset = onset;
    impl_->mailbox.put(impl_->order, steady_ms());
    if (impl_->order != before) impl_->ring();
}

void SounderThread::prompt() {
    ++impl_->order.prompts;
    impl_->put_and_ring();
}

void SounderThread::test() {
    ++impl_->order.tests;
    impl_->put_and_ring();
}

}  // namespace drumwatch
