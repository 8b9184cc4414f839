"""What turns: the driveshaft's angles and slip over the travel, how evenly it turns, which pinion, which gears."""
