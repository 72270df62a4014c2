"""What decides whether a piece can go on its wall: wall, template, holes, loads, anchors, lift, route."""
