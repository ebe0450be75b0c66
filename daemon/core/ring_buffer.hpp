// The newest N items in fixed memory, taken once. Thread: one; the owner's.
#pragma once

#include <cstddef>
#include <vector>

namespace drumwatch {

template <typename T>
class RingBuffer {
  public:
    explicit RingBuffer(std::size_t capacity) : items_(capacity), capacity_(capacity) {}
    std::size_t capacity() const { return capacity_; }
    std::size_t size() const { return size_; }
    void clear() { size_ = 0; }
    void push(const T& item) {
        items_[place_of(size_)] = item;
        if (size_ < capacity_)
            ++size_;
        else
            first_ = place_of(1);
    }
    /// 0 is the oldest that is still held.
    const T& operator[](std::size_t i) const { return items_[place_of(i)]; }
    const T& back() const { return (*this)[size_ - 1]; }

  private:
    std::size_t place_of(std::size_t i) const {
        const std::size_t place = first_ + i;
        return place < capacity_ ? place : place - capacity_;
    }

    std::vector<T> items_;
    std::size_t capacity_;
    std::size_t first_ = 0;
    std::size_t size_ = 0;
};

}  // namespace drumwatch
