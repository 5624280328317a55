#include "engine/network/network.h"

#include <set>

#include "engine/network/plan.h"

namespace wetrun {
namespace {

void require_new_name(const std::vector<std::string>& names, const char* what) {
  std::set<std::string_view> seen;
  for (const auto& name : names)
    if (!seen.insert(name).second)
      throw InputError(std::string(what) + " '" + name + "' appears twice in the network", "give each its own name");
}

}  // namespace

NodeId Network::add_junction(std::string name, double elevation_m) {
  WETRUN_REQUIRE(!plan_);
  nodes_.push_back({std::move(name), elevation_m, true});
  return NodeId{static_cast<std::uint32_t>(nodes_.size() - 1)};
}

NodeId Network::add_boundary(std::string name, double elevation_m) {
  const NodeId id = add_junction(std::move(name), elevation_m);
  nodes_.back().junction = false;
  return id;
}

LinkId Network::add_link(std::string name, NodeId a, NodeId b, std::shared_ptr<const LinkLaw> law) {
  WETRUN_REQUIRE(law != nullptr);
  const std::size_t count = law->default_settings().size();
  const LinkId id = add_given_flow(std::move(name), a, b);
  links_.back().law = std::move(law);
  links_.back().settings = count;
  settings_ += count;
  return id;
}

LinkId Network::add_given_flow(std::string name, NodeId a, NodeId b) {
  WETRUN_REQUIRE(!plan_);
  WETRUN_REQUIRE(a.valid() && a.index() < nodes_.size() && b.valid() && b.index() < nodes_.size());
  if (a == b) throw InputError("link '" + name + "' begins and ends at the same node", "join two different nodes");
  links_.push_back({std::move(name), a, b, nullptr, settings_, 0});
  return LinkId{static_cast<std::uint32_t>(links_.size() - 1)};
}

void Network::finish() {
  WETRUN_REQUIRE(!plan_);
  std::vector<std::string> names;
  for (const auto& node : nodes_) names.push_back(node.name);
  require_new_name(names, "node");
  names.clear();
  for (const auto& link : links_) names.push_back(link.name);
  require_new_name(names, "link");

  std::vector<bool> joined(nodes_.size());
  for (std::size_t i = 0; i < nodes_.size(); ++i) joined[i] = !nodes_[i].junction;
  for (bool grew = true; grew;) {
    grew = false;
    for (const auto& link : links_)
      if (link.law && joined[link.a.index()] != joined[link.b.index()])
        grew = joined[link.a.index()] = joined[link.b.index()] = true;
  }
  for (std::size_t i = 0; i < nodes_.size(); ++i)
    if (!joined[i])
      throw InputError(
          "no path of pipes and fittings joins '" + nodes_[i].name + "' to a tank or another given pressure",
          "connect it, or remove it");

  auto plan = std::make_shared<Plan>();
  std::vector<std::uint32_t> vertex_of_node(nodes_.size(), no_slot);
  std::uint32_t vertices = 0;
  for (std::size_t i = 0; i < nodes_.size(); ++i)
    if (nodes_[i].junction) vertex_of_node[i] = vertices++;
  std::vector<std::pair<std::uint32_t, std::uint32_t>> pairs;
  for (const auto& link : links_) {
    const auto a = vertex_of_node[link.a.index()], b = vertex_of_node[link.b.index()];
    if (link.law && a != no_slot && b != no_slot) pairs.emplace_back(a, b);
  }
  std::vector<std::uint32_t> row_of_vertex;
  plan->elimination = Elimination::make(vertices, pairs, row_of_vertex);
  plan->row_of_node.assign(nodes_.size(), no_slot);
  for (std::size_t i = 0; i < nodes_.size(); ++i)
    if (nodes_[i].junction) plan->row_of_node[i] = row_of_vertex[vertex_of_node[i]];
  for (const auto& link : links_) {
    Plan::Ends ends{plan->row_of_node[link.a.index()], plan->row_of_node[link.b.index()], no_slot, false};
    ends.a_first = ends.row_a < ends.row_b;
    if (link.law && ends.row_a != no_slot && ends.row_b != no_slot)
      ends.edge = ends.a_first ? plan->elimination.find(ends.row_a, ends.row_b)
                               : plan->elimination.find(ends.row_b, ends.row_a);
    plan->ends.push_back(ends);
  }
  plan_ = std::move(plan);
}

NodeId Network::find_node(std::string_view name) const {
  for (std::size_t i = 0; i < nodes_.size(); ++i)
    if (nodes_[i].name == name) return NodeId{static_cast<std::uint32_t>(i)};
  return {};
}

LinkId Network::find_link(std::string_view name) const {
  for (std::size_t i = 0; i < links_.size(); ++i)
    if (links_[i].name == name) return LinkId{static_cast<std::uint32_t>(i)};
  return {};
}

NetworkState::NetworkState(const Network& network)
    : pressure_pa(network.nodes().size(), 0.0), flow_m3_s(network.links().size(), 0.0), fluid(network.links().size()), content_slope_1_s(network.links().size(), 0.0) {
  for (const auto& link : network.links())
    if (link.law)
      for (const double value : link.law->default_settings()) settings.push_back(value);
}

std::span<double> NetworkState::setting(const Network& network, LinkId id) {
  const auto& link = network.links()[id.index()];
  return std::span<double>(settings).subspan(link.first_setting, link.settings);
}

}  // namespace wetrun
