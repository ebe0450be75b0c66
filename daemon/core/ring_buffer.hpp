// The newest N items in fixed memory, taken once. Thread: one; the owner's.
#pragma once

#include <cstddef>
#include <vector>

namespace drumwatch {

template <typename T>
class RingBuffer {
  public:
    explicit RingBuffer(std::size_t capacity) : items_(capacity) {}
    std::size_t capacity() const { return items_.size(); }
    std::size_t size() const { return size_; }
    void clear() { size_ = 0; }
    void push(const T& item) {
        items_[next_] = item;
        next_ = (next_ + 1) % items_.size();
        if (size_ < items_.size()) ++size_;
    }
    /// 0 is the oldest that is still held.
    const T& operator[](std::size_t i) const {
        const std::size_t place = next_ + items_.size() - size_ + i;
        return items_[place < items_.size() ? place : place - items_.size()];
    }
    const T& back() const { return (*this)[size_ - 1]; }

  private:
    std::vector<T> items_;
    std::size_t next_ = 0;
    std::size_t size_ = 0;
};

}  // namespace drumwatch
