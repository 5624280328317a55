// What a skid file says of an array.
#pragma once
#include <string>
#include <vector>

#include "engine/file/table.h"
#include "models/array/channel_law.h"
#include "models/array/envelope.h"
#include "models/foulant/foulant.h"

namespace wetrun {

struct ArraySpec {
  std::string feed, concentrate, permeate;  // nodes
  double elevation_m = 0;
  std::size_t vessels = 1, elements = 1;
  double membrane_area_m2 = 37;       // of one element
  double channel_height_m = 0.79e-3;  // spacer thickness
  double channel_volume_m3 = 0.0125;  // of one element
  double permeate_volume_m3 = 0.01;   // of one vessel
  ChannelSpec channel;
  double permeability_m_s_pa = 9.5e-12;  // clean, 25 degC
  double salt_passage = 0.01;            // clean
  double element_dp_limit_pa = 1.0e5, vessel_dp_limit_pa = 3.5e5, feed_limit_pa = 4.0e5, back_limit_pa = 0.3e5;
  double reference_flow_m3_s = 8.0 / 3600;  // of one vessel, for the normalised channel drop
  Envelope envelope = Envelope::polyamide();
  std::vector<Deposit> deposits;  // by position, at the start

  /// Membrane of one position over all vessels.
  double area_m2() const { return membrane_area_m2 * static_cast<double>(vessels); }
};

ArraySpec read_array_spec(const Table& table);

/// Adds one deposit, mean `kg_m2` over the positions, to `deposits`. `lean` from -1 (all lead) to 1 (all tail): the
/// weights run linearly from 1 - lean to 1 + lean.
void spread_deposit(std::vector<Deposit>& deposits, Foulant foulant, double kg_m2, double lean, double fixed_share);

/// A foulant by its name; InputError at `key` listing the names.
Foulant foulant_word(const Table& table, std::string_view key);

}  // namespace wetrun
