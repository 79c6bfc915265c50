"""What a monitoring system is told, for those who run one: figures of requests, and of the studio itself."""
