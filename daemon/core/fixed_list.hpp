// A list with its room inside it: no allocation, so that a Snapshot costs none per tick. A push into a full
// list is refused and returns false; nothing else can fail.
#pragma once

#include <array>
#include <cstddef>

namespace drumwatch {

template <typename T, std::size_t N>
class FixedList {
  public:
    static constexpr std::size_t capacity() { return N; }
    std::size_t size() const { return size_; }
    bool empty() const { return size_ == 0; }
    bool full() const { return size_ == N; }
    void clear() { size_ = 0; }
    bool push_back(const T& item) {
        if (full()) return false;
        items_[size_++] = item;
        return true;
    }
    void erase(std::size_t index) {
        for (std::size_t i = index + 1; i < size_; ++i) items_[i - 1] = items_[i];
        --size_;
    }
    T& operator[](std::size_t i) { return items_[i]; }
    const T& operator[](std::size_t i) const { return items_[i]; }
    T& back() { return items_[size_ - 1]; }
    const T& back() const { return items_[size_ - 1]; }
    T* begin() { return items_.data(); }
    T* end() { return items_.data() + size_; }
    const T* begin() const { return items_.data(); }
    const T* end() const { return items_.data() + size_; }

  private:
    std::array<T, N> items_{};
    std::size_t size_ = 0;
};

}  // namespace drumwatch
