// Strong indices. An id is a position in the table that made it; ids of different tables do not mix.
#pragma once
#include <cstdint>
#include <functional>

namespace wetrun {

template <class Tag>
struct Id {
  std::uint32_t value = 0xffffffffu;
  constexpr bool valid() const { return value != 0xffffffffu; }
  constexpr std::size_t index() const { return value; }
  friend constexpr bool operator==(Id, Id) = default;
};

using NodeId = Id<struct NodeTag>;      // a point of the pressure network
using LinkId = Id<struct LinkTag>;      // a connection of two nodes
using CellId = Id<struct CellTag>;      // a well-mixed volume of liquid
using SignalId = Id<struct SignalTag>;  // a row of the signal table

}  // namespace wetrun
