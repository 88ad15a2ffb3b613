"""What people see: the card at the bench, pictures, JSON and the files that hold them."""
