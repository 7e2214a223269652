"""What a person says, understood; and things and acts said back in words."""
