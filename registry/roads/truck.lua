-- OSRM's own car profile, opened for service trucks: lanes, drives and tracks lead to most systems.
--
-- A private service road may begin or end a drive (the visit is business with the place at its
-- end), and so may a track; neither may be driven through. The same rule in Python: drivable.py.

local car = require('car')

local function setup()
  local profile = car.setup()
  profile.speeds.highway.track = 15
  profile.restricted_highway_whitelist['track'] = true
  profile.service_access_tag_blacklist = Set {}
  return profile
end

local function process_way(profile, way, result, relations)
  car.process_way(profile, way, result, relations)
  if way:get_value_by_key('highway') == 'track' then
    result.forward_restricted = true
    result.backward_restricted = true
  end
end

return {
  setup = setup,
  process_way = process_way,
  process_node = car.process_node,
  process_turn = car.process_turn
}
